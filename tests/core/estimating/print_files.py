"""Print files made for tests: a tower of rings with fill, retractions and hops; and every word there is."""

import math

HEAD = (
    "; a comment with G1 X999\nG21\nG90\nM82\nM140 S60\nM104 S210\nM190 S60 (platform)\nM109 S210\n"
    "G28\nG92 E0\nT0\nM204 S1500\nM117 Layer X5 of 9\n"
)


def tower(layers: int, sides: int = 40, relative: bool = False) -> bytes:
    """A ring a layer, printed in straights, with a retraction and a hop between layers."""
    lines, drawn = [HEAD.replace("M82", "M83") if relative else HEAD], 0.0

    def e(pushed: float) -> str:
        nonlocal drawn
        drawn += pushed
        return f"E{pushed if relative else drawn:.5f}"

    for layer in range(layers):
        z = 0.2 * (layer + 1)
        lines.append(f"G0 F9000 X80.000 Y60.000 Z{z:.3f}\nG1 F2400 {e(1.5)}\n")
        for side in range(1, sides + 1):
            angle = 2 * math.pi * side / sides
            x, y = 60 + 20 * math.cos(angle), 60 + 20 * math.sin(angle)
            lines.append(f"G1 F2400 X{x:.3f} Y{y:.3f} {e(0.11)}\n")
        lines.append(f"G1 F2400 {e(-1.5)}\n")
    return "".join(lines).encode()


EVERY_WORD = b"""%
N10 G21 G17 G90 (metric) *57
/ g1 x10. y-.5 z+0.2 f1200
G91
X1 Y1 E.2
G1 Z 0.4 E.1
G90 G0 X5
M83
G1 X8 E0.3
G2 X12 Y4.5 I4 J0 E.2
G3 X8 Y8 R4 E.2
G3 X8.5 Y8.5 R-4
G2 I5 Z1 F600
G20 G1 X1 Y1 F30
G21 G90.1 G2 X30 Y25.4 I27.7 J25.4
G91.1
F2000
G4 P250
G4 S1.5
G4
G92 X0
G92 E
G92
M104 S200
M109 R150
M104
M190 S40 M140 S0
M204 P800
M204 T600
M204 S1200
G1 X20 E1
T1
T1
M6 T0
M104 S200 T1
G28 X
G28
START_SOMETHING X=5
BED 5
G10 X5
G1 E-2 F1800
G1 E2
M117 G1 X900 Y
5
G2 X2 Y0 I1 J0 E1
N5
M82 G1 Z3 E99
M30
"""
