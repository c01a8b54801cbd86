"""Which Pythons Printcrib is tried on; written so that even older ones can read it and say so."""

import sys

OLDEST, NEWEST = (3, 11), (3, 13)


def check(version: "tuple[int, ...]" = sys.version_info[:3], bits64: bool = sys.maxsize > 2**32) -> None:
    """End with one plain sentence unless this is a 64-bit Python 3.11, 3.12 or 3.13."""
    if OLDEST <= tuple(version[:2]) <= NEWEST and bits64:
        return
    found = ".".join(str(part) for part in version) + ("" if bits64 else " (32 bit)")
    example = "py -3.12 packaging\\run.py" if sys.platform == "win32" else "python3.12 packaging/run.py"
    sys.stderr.write(
        f"Printcrib needs a 64-bit Python 3.11, 3.12 or 3.13 and was started with Python {found}; "
        f"install one of these and start with it, for example: {example}\n"
    )
    raise SystemExit(2)
