"""The pattern book of the demo shop: twelve aids and their sizes, as the lead would have written it."""

from collections.abc import Callable
from dataclasses import dataclass

from printcrib.core.patterns import CountedBy, Fineness, Pattern, Reliability
from printcrib.core.shapes import Mesh
from printcrib.meshes import made


@dataclass(frozen=True, kw_only=True)
class BookSize:
    """One size of a pattern and how its model is made.

    Attributes:
        kind: of the file it is kept as, "stl" or "3mf".
    """

    name: str
    model: Callable[[], Mesh]
    kind: str = "stl"
    spares: int = 0
    place: str = ""
    limit: int | None = None


@dataclass(frozen=True, kw_only=True)
class BookPattern:
    """One pattern as the shop knows it; its material goes by name until the shop has one."""

    pattern: Pattern
    material: str
    sizes: tuple[BookSize, ...]


PETG, ASA, PLA = "PETG", "ASA", "PLA"
TURNS, HOLDS, COOLANT = 1, 2, 9


def _pattern(name: str, kind: str, **rest: object) -> Pattern:
    return Pattern(number=0, name=name, kind=kind, **rest)  # type: ignore[arg-type]


BOOK: tuple[BookPattern, ...] = (
    BookPattern(
        pattern=_pattern(
            "caliper rest",
            "stores",
            use_unit="days",
            counted_by=CountedBy.CALENDAR,
            expected_life=700,
            colour="grey",
            safety_answers=(),
        ),
        material=PETG,
        sizes=(BookSize(name="165 x 62", model=made.caliper_rest, place="A1"),),
    ),
    BookPattern(
        pattern=_pattern(
            "collet tray",
            "stores",
            use_unit="days",
            counted_by=CountedBy.CALENDAR,
            expected_life=900,
            how_fine=Fineness.ROUGH,
            colour="grey",
            safety_answers=(),
        ),
        material=PETG,
        sizes=(
            BookSize(name="33 mm, 10 seats", model=made.collet_tray, kind="3mf", place="A2"),
            BookSize(name="26 mm, 8 seats", model=lambda: made.collet_tray(26.0, 4, 2), place="A2"),
        ),
    ),
    BookPattern(
        pattern=_pattern(
            "hose clip",
            "holds",
            use_unit="weeks",
            counted_by=CountedBy.CALENDAR,
            expected_life=26,
            reliability=Reliability.CONSUMABLE,
            colour="grey",
            safety_answers=(COOLANT,),
            notes="Check weekly for cracks and swelling.",
        ),
        material=PETG,
        sizes=(
            BookSize(name="16", model=lambda: made.hose_clip(16.0), spares=2, place="B1"),
            BookSize(name="20", model=made.hose_clip, spares=2, place="B1"),
        ),
    ),
    BookPattern(
        pattern=_pattern(
            "deburring nest",
            "holds",
            use_unit="parts",
            counted_by=CountedBy.PARTS,
            expected_life=2400,
            colour="grey",
            safety_answers=(HOLDS,),
            finishing_steps=("pocket edges deburred",),
        ),
        material=PETG,
        sizes=(BookSize(name="bracket 4021", model=made.deburring_nest, kind="3mf", place="B2"),),
    ),
    BookPattern(
        pattern=_pattern(
            "thread cap",
            "covers",
            use_unit="uses",
            expected_life=45,
            reliability=Reliability.CONSUMABLE,
            how_fine=Fineness.FINE,
            colour="grey",
            safety_answers=(),
        ),
        material=PETG,
        sizes=(
            BookSize(name="M30 x 3", model=made.thread_cap, spares=4, place="B3"),
            BookSize(name="M24 x 3", model=lambda: made.thread_cap(24.0, 3.0, 16.0), spares=4, place="B3"),
        ),
    ),
    BookPattern(
        pattern=_pattern(
            "funnel",
            "guides",
            use_unit="fills",
            expected_life=300,
            reliability=Reliability.CONSUMABLE,
            how_fine=Fineness.ROUGH,
            colour="grey",
            safety_answers=(),
        ),
        material=PETG,
        sizes=(BookSize(name="90 to 16", model=made.funnel, spares=1, place="B4"),),
    ),
    BookPattern(
        pattern=_pattern(
            "jaw pad",
            "holds",
            use_unit="clampings",
            counted_by=CountedBy.PARTS,
            expected_life=260,
            colour="black",
            safety_answers=(HOLDS,),
            finishing_steps=("faces checked flat", "screw holes deburred"),
        ),
        material=ASA,
        sizes=(
            BookSize(name="100 x 40", model=made.jaw_pad, spares=1, place="C1"),
            BookSize(name="125 x 45", model=lambda: made.jaw_pad(125.0, 45.0, 8.0), place="C1"),
        ),
    ),
    BookPattern(
        pattern=_pattern(
            "length stop",
            "sets",
            use_unit="parts",
            counted_by=CountedBy.READING,
            expected_life=12_000,
            reliability=Reliability.LOCATING,
            colour="black",
            safety_answers=(HOLDS,),
            finishing_steps=("bore gauged",),
            take_out_before_start=True,
        ),
        material=ASA,
        sizes=(
            BookSize(name="20 x 60", model=made.length_stop, spares=1, place="C2", limit=9_000),
            BookSize(name="25 x 80", model=lambda: made.length_stop(25.0, 80.0), place="C2"),
        ),
    ),
    BookPattern(
        pattern=_pattern(
            "rail cover",
            "covers",
            use_unit="weeks",
            counted_by=CountedBy.CALENDAR,
            expected_life=40,
            days_in_service=280,
            colour="grey",
            safety_answers=(),
            take_out_before_start=True,
            notes="Keeps chips off a rail that stands still while it is set. A printed cover is not a guard.",
        ),
        material=PETG,
        sizes=(BookSize(name="23 x 140", model=made.rail_cover, place="C3"),),
    ),
    BookPattern(
        pattern=_pattern(
            "drill template",
            "guides",
            use_unit="holes",
            counted_by=CountedBy.PARTS,
            uses_a_part=12,
            expected_life=60_000,
            reliability=Reliability.LOCATING,
            colour="white",
            safety_answers=(HOLDS,),
            finishing_steps=("bushings bonded", "first hole gauged"),
        ),
        material=PLA,
        sizes=(BookSize(name="12 x 6 on 90", model=made.drill_template, kind="3mf", place="C4"),),
    ),
    BookPattern(
        pattern=_pattern(
            "numbered tag",
            "labels",
            use_unit="days",
            counted_by=CountedBy.CALENDAR,
            colour="white",
            safety_answers=(),
        ),
        material=PLA,
        sizes=(BookSize(name="46 x 24", model=made.numbered_tag, place="A3"),),
    ),
    BookPattern(
        pattern=_pattern(
            "cable comb",
            "stores",
            use_unit="days",
            counted_by=CountedBy.CALENDAR,
            days_in_service=900,
            colour="grey",
            safety_answers=(),
        ),
        material=PETG,
        sizes=(
            BookSize(name="6 x 7", model=made.cable_comb, place="A4"),
            BookSize(name="4 x 9", model=lambda: made.cable_comb(4, 9.0), place="A4"),
        ),
    ),
)
"""In the order of the book; safety answers are question ids of `core.safety`."""
