"""Nozzles and spools to pick from, as the lists show them."""

from collections.abc import Iterable, Sequence

from printcrib.screens.parts.pick import Pick
from printcrib.screens.parts.spool_colours import swatch_of
from printcrib.services.look_at_start import NozzleChoice, SpoolChoice

NO_SPOOL = "none"


def nozzle_picks(nozzles: Iterable[NozzleChoice]) -> list[Pick]:
    """Nozzles that may be on the printer; those of the wrong kind say so."""
    return [Pick(str(one.nozzle_id), one.words, _second(one)) for one in nozzles]


def spool_picks(spools: Sequence[SpoolChoice], *, nothing: str = "") -> list[Pick]:
    """Spools of the rack with their swatches; `nothing` is a first line for none."""
    picks = [Pick(str(one.spool_id), one.words, _second(one), swatch_of(one.colour)) for one in spools]
    return [Pick(NO_SPOOL, nothing), *picks] if nothing else picks


def _second(one: NozzleChoice | SpoolChoice) -> str:
    return ", ".join(part for part in (one.second, "" if one.will_do else "not for this run") if part)


def key_of(picked: str) -> int | None:
    """The key picked, None for none."""
    return int(picked) if picked.isdigit() else None
