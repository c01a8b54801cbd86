"""Why prints fail, in plain words, by the group that decides what happens next."""

from enum import StrEnum


class CauseGroup(StrEnum):
    """Who or what the failure came from; design goes back to the asker."""

    MACHINE = "machine"
    MATERIAL = "material"
    DESK = "desk"
    DESIGN = "design"
    NOT_KNOWN = "not known yet"


CAUSES: dict[CauseGroup, tuple[str, ...]] = {
    CauseGroup.MACHINE: (
        "first layer let go",
        "corner lifted",
        "layers shifted",
        "thin or starved lines",
        "nozzle blocked",
        "layers split",
        "heater or sensor stop",
        "power cut",
    ),
    CauseGroup.MATERIAL: ("ran out", "tangled or snapped", "damp", "wrong diameter or bad lot"),
    CauseGroup.DESK: (
        "wrong nozzle",
        "wrong material or colour",
        "wrong file or revision",
        "platform not clean or level",
        "knocked",
        "stopped by hand",
        "damaged on removal",
    ),
    CauseGroup.DESIGN: ("wrong size", "support failed", "too thin", "unsuitable orientation"),
    CauseGroup.NOT_KNOWN: ("not known yet",),
}
"""Every cause a person can name, by its group."""


def group_of(cause: str) -> CauseGroup:
    """The group a cause belongs to; words of the shop's own count as not known yet."""
    for group, causes in CAUSES.items():
        if cause in causes:
            return group
    return CauseGroup.NOT_KNOWN
