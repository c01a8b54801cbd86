"""STEP files (ISO 10303-21) for tests, written here: faceted bodies of any mesh, and one true cylinder."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from printcrib.core.shapes import Mesh

HEADER = (
    "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION(('made by a test'),'2;1');\n"
    "FILE_NAME('part','2026-01-01T00:00:00',('test'),(''),'','','');\n"
    "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));\nENDSEC;\nDATA;\n"
)
FOOTER = "ENDSEC;\nEND-ISO-10303-21;\n"
PRODUCT = (
    "APPLICATION_CONTEXT('mechanical design')",
    "PRODUCT_CONTEXT('',#1,'mechanical')",
    "PRODUCT('part','part','',(#2))",
    "PRODUCT_DEFINITION_FORMATION('','',#3)",
    "PRODUCT_DEFINITION_CONTEXT('part definition',#1,'design')",
    "PRODUCT_DEFINITION('design','',#4,#5)",
    "PRODUCT_DEFINITION_SHAPE('','',#6)",
)
METRE = "(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.))"
MILLIMETRE = "(LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.))"


@dataclass
class Writing:
    """The lines of a file so far; each is named by its number."""

    lines: list[str] = field(default_factory=lambda: list(PRODUCT))

    def add(self, line: str) -> str:
        """Add a line and give its name."""
        self.lines.append(line)
        return f"#{len(self.lines)}"

    def units(self, unit: str) -> str:
        """The context that says in which unit lengths are."""
        if unit == "inch":
            millimetre = self.add(MILLIMETRE)
            measure = self.add(f"LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),{millimetre})")
            powers = self.add("DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.)")
            length = self.add(f"(CONVERSION_BASED_UNIT('INCH',{measure}) LENGTH_UNIT() NAMED_UNIT({powers}))")
        else:
            length = self.add(METRE if unit == "metre" else MILLIMETRE)
        angle = self.add("(NAMED_UNIT(*) PLANE_ANGLE_UNIT() SI_UNIT($,.RADIAN.))")
        solid = self.add("(NAMED_UNIT(*) SI_UNIT($,.STERADIAN.) SOLID_ANGLE_UNIT())")
        near = self.add(f"UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-05),{length},'accuracy','')")
        return self.add(
            f"(GEOMETRIC_REPRESENTATION_CONTEXT(3) GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT(({near})) "
            f"GLOBAL_UNIT_ASSIGNED_CONTEXT(({length},{angle},{solid})) REPRESENTATION_CONTEXT('',''))"
        )

    def triple(self, kind: str, values: Iterable[float]) -> str:
        """A point or a direction."""
        return self.add(f"{kind}('',({','.join(f'{value:.9E}' for value in values)}))")

    def point(self, *values: float) -> str:
        """A corner."""
        return self.triple("CARTESIAN_POINT", values)

    def axes(self, at: str, normal: Sequence[float], along: Sequence[float]) -> str:
        """A place with its two directions."""
        up, right = self.triple("DIRECTION", normal), self.triple("DIRECTION", along)
        return self.add(f"AXIS2_PLACEMENT_3D('',{at},{up},{right})")

    def file(self, representation: str) -> bytes:
        """The whole file."""
        self.add(f"SHAPE_DEFINITION_REPRESENTATION(#7,{representation})")
        body = "".join(f"#{number}={line};\n" for number, line in enumerate(self.lines, 1))
        return (HEADER + body + FOOTER).encode()


def step(*bodies: Mesh, unit: str = "mm") -> bytes:
    """Bodies with flat triangles; numbers are taken in the unit told."""
    held = Writing()
    context = held.units(unit)
    breps = []
    for mesh in bodies:
        points = [held.point(*vertex) for vertex in mesh.vertices.tolist()]
        faces = [_triangle(held, mesh, points, face) for face in mesh.faces.tolist()]
        shell = held.add(f"CLOSED_SHELL('',({','.join(faces)}))")
        breps.append(held.add(f"FACETED_BREP('',{shell})"))
    return held.file(held.add(f"FACETED_BREP_SHAPE_REPRESENTATION('',({','.join(breps)}),{context})"))


def _triangle(held: Writing, mesh: Mesh, points: list[str], face: list[int]) -> str:
    a, b, c = mesh.vertices[face]
    normal, along = np.cross(b - a, c - a), b - a
    normal, along = normal / np.linalg.norm(normal), along / np.linalg.norm(along)
    place = held.axes(points[face[0]], normal.tolist(), along.tolist())
    plane = held.add(f"PLANE('',{place})")
    loop = held.add(f"POLY_LOOP('',({','.join(points[corner] for corner in face)}))")
    bound = held.add(f"FACE_OUTER_BOUND('',{loop},.T.)")
    return held.add(f"FACE_SURFACE('',({bound}),{plane},.T.)")


def step_cylinder(radius: float, height: float, unit: str = "mm") -> bytes:
    """A true cylinder on its foot: one curved face with a seam, two flat ones."""
    held = Writing()
    context = held.units(unit)
    low, high = held.point(0, 0, 0), held.point(0, 0, height)
    foot = held.axes(low, (0, 0, 1), (1, 0, 0))
    head = held.axes(high, (0, 0, 1), (1, 0, 0))
    points = [held.point(radius, 0, z) for z in (0.0, height)]
    corners = [held.add(f"VERTEX_POINT('',{point})") for point in points]
    circles = [held.add(f"CIRCLE('',{place},{radius:.9E})") for place in (foot, head)]
    rings = [
        held.add(f"EDGE_CURVE('',{corner},{corner},{circle},.T.)")
        for corner, circle in zip(corners, circles, strict=True)
    ]
    direction = held.triple("DIRECTION", (0, 0, 1))
    upward = held.add(f"VECTOR('',{direction},1.)")
    line = held.add(f"LINE('',{points[0]},{upward})")
    seam = held.add(f"EDGE_CURVE('',{corners[0]},{corners[1]},{line},.T.)")

    def loop(*edges: tuple[str, bool]) -> str:
        ways = [held.add(f"ORIENTED_EDGE('',*,*,{edge},{'.T.' if on else '.F.'})") for edge, on in edges]
        edge_loop = held.add(f"EDGE_LOOP('',({','.join(ways)}))")
        return held.add(f"FACE_OUTER_BOUND('',{edge_loop},.T.)")

    side = loop((rings[0], True), (seam, True), (rings[1], False), (seam, False))
    around = held.add(f"CYLINDRICAL_SURFACE('',{foot},{radius:.9E})")
    down, up = held.add(f"PLANE('',{foot})"), held.add(f"PLANE('',{head})")
    faces = [
        held.add(f"ADVANCED_FACE('',({side}),{around},.T.)"),
        held.add(f"ADVANCED_FACE('',({loop((rings[0], False))}),{down},.F.)"),
        held.add(f"ADVANCED_FACE('',({loop((rings[1], True))}),{up},.T.)"),
    ]
    shell = held.add(f"CLOSED_SHELL('',({','.join(faces)}))")
    brep = held.add(f"MANIFOLD_SOLID_BREP('',{shell})")
    return held.file(held.add(f"ADVANCED_BREP_SHAPE_REPRESENTATION('',({brep}),{context})"))
