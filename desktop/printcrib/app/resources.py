"""Where the shipped files are: fonts, icons, handbook, report templates."""

import sys
from pathlib import Path


def resource_folder() -> Path:
    """The resources folder of a clone, an installed package or a frozen folder.

    Raises:
        FileNotFoundError: the program was unpacked without its resources.
    """
    package = Path(__file__).resolve().parents[1]
    frozen = getattr(sys, "_MEIPASS", None)
    candidates = [Path(frozen) / "resources"] if frozen else []
    candidates += [package / "resources", package.parents[1] / "resources"]
    for candidate in candidates:
        if (candidate / "fonts").is_dir():
            return candidate
    raise FileNotFoundError("the resources folder is missing; install Printcrib again")
