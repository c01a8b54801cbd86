"""A model file somebody chose on this PC. No Qt."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from printcrib.core.errors import ShopError
from printcrib.services.read_model import ModelFile

FILE = "file"
"""Under which name a half-filled form keeps its file."""
MOST_BYTES = 500_000_000


@dataclass(frozen=True)
class GivenFile:
    """A model file somebody chose: its path, the unit's factor, where it came from and its licence."""

    path: Path
    unit_scale: float = 1.0
    source: str = ""
    licence: str = ""

    @property
    def name(self) -> str:
        """The file's own name."""
        return self.path.name


def as_text(file: GivenFile) -> list[Any]:
    """The file as a half-filled form keeps it."""
    return [str(file.path), file.unit_scale, file.source, file.licence]


def file_of(begun: Mapping[str, Any]) -> GivenFile | None:
    """The model file of a half-filled form, None where there is none."""
    match begun.get(FILE):
        case [str(path), int() | float() as scale, str(source), str(licence)]:
            return GivenFile(Path(path), float(scale), source, licence)
    return None


def as_given(file: GivenFile) -> ModelFile:
    """The file's bytes as given.

    Raises:
        ShopError: it cannot be read, or is far too large for a model.
    """
    try:
        if file.path.stat().st_size > MOST_BYTES:
            raise ShopError(
                f"{file.name} is larger than {MOST_BYTES // 1_000_000} MB", "Export a simpler model."
            )
        content = file.path.read_bytes()
    except OSError as error:
        raise ShopError(f"{file.name} cannot be read", "Choose it again.") from error
    return ModelFile(
        content=content,
        name=file.name,
        unit_scale=file.unit_scale,
        source=file.source,
        licence=file.licence,
    )
