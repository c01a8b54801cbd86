"""What a model file may cost to read, and the sentences for files that cost more or are damaged."""

from printcrib.core.errors import ShopError

MIB = 1024 * 1024
MOST_FILE_BYTES = 128 * MIB
MOST_UNPACKED_BYTES = 256 * MIB
MOST_MEMBERS = 2000
MOST_RATIO = 100
MOST_TRIANGLES = 8_000_000
CHILD_BYTES = 2048 * MIB
CHILD_SECONDS = 30

EXPORT_AGAIN = "Export it again from the model."
SAVE_AS = "Save it as STL, 3MF, OBJ or STEP."
SIMPLIFY = "Simplify the model and export it again."


def shown_name(name: str) -> str:
    """A file's name as it may stand in a sentence: no folders, no control characters, not endless."""
    last = name.replace("\\", "/").rstrip("/").rpartition("/")[2]
    clean = "".join(letter for letter in last if letter.isprintable()).strip()
    if len(clean) > 80:
        clean = clean[:50] + "..." + clean[-27:]
    return clean or "the file"


def damaged(name: str) -> ShopError:
    """The refusal for a file that breaks its own format."""
    return ShopError(f"{name} is damaged or not what its name says", EXPORT_AGAIN)
