"""What this PC remembers about itself: its name and which shop it opens."""

import json
import os
import socket
from dataclasses import asdict, dataclass
from pathlib import Path

from platformdirs import user_config_path, user_data_path


def _told_or(variable: str, usual: Path) -> Path:
    told = os.environ.get(variable)
    return Path(told) if told else usual


def config_folder() -> Path:
    """Where this PC keeps its own few settings (PRINTCRIB_CONFIG overrides)."""
    return _told_or("PRINTCRIB_CONFIG", user_config_path("printcrib", appauthor=False))


def data_folder() -> Path:
    """Where shops live unless told otherwise (PRINTCRIB_DATA overrides)."""
    return _told_or("PRINTCRIB_DATA", user_data_path("printcrib", appauthor=False))


@dataclass(frozen=True)
class Station:
    """One PC at which somebody stands.

    Attributes:
        name: how its bookings are signed. shop: folder or database URL; "" before set-up.
    """

    name: str
    shop: str = ""


def _file() -> Path:
    return config_folder() / "station.json"


def read_station() -> Station:
    """What was remembered; a damaged file counts as none, the shop itself is not touched."""
    usual = Station(name=socket.gethostname() or "desk")
    try:
        found = json.loads(_file().read_text("utf-8"))
        return Station(name=str(found.get("name") or usual.name), shop=str(found.get("shop") or ""))
    except (OSError, ValueError, AttributeError):
        return usual


def remember_station(station: Station) -> None:
    """Keep it for the next start; written whole or not at all."""
    target = _file()
    target.parent.mkdir(parents=True, exist_ok=True)
    draft = target.with_suffix(".new")
    draft.write_text(json.dumps(asdict(station), indent=1), "utf-8")
    draft.replace(target)
