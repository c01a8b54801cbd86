"""Files a person saves from the window: each is written whole or not at all."""

from collections.abc import Mapping
from pathlib import Path

from printcrib.core.errors import ShopError


def named(target: Path, ending: str) -> Path:
    """The file with its ending (".3mf"), where the person left it out."""
    return target if target.suffix.lower() == ending else target.with_name(f"{target.name}{ending}")


def write_whole(files: Mapping[Path, bytes]) -> int:
    """Write each file whole or not at all; gives how many there are.

    Raises:
        ShopError: the place cannot be written to.
    """
    for path, content in files.items():
        draft = path.with_name(f".{path.name}.new")
        try:
            draft.write_bytes(content)
            draft.replace(path)
        except OSError as error:
            draft.unlink(missing_ok=True)
            raise ShopError(f"{path} cannot be written", "Choose another folder.") from error
    return len(files)
