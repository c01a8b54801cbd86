"""Read a print file: minutes, grams, metres and layers by its own moves."""

from collections.abc import Callable

from printcrib.core.errors import ShopError
from printcrib.core.estimating.moves import PrintFile, read_moves
from printcrib.core.estimating.settings import PrintSettings

PLAIN_BYTES = 4 * 1024 * 1024
"""Up to here plain code is done before the compiled code is loaded (own bench)."""


def read_print_file(
    content: bytes,
    name: str,
    settings: PrintSettings,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> PrintFile:
    """Time and weigh a print file, a long one with compiled code; for a worker process.

    Args:
        content: the file as given.
        name: of the file, for the sentence of a refusal.
        settings: of the printer, the nozzle and the material.
        progress: told the part done, 0 to 1.
        cancelled: asked often.

    Raises:
        ShopError: it holds no moves, or a line that cannot be obeyed; it is too large, or was cancelled.
    """

    def tell(share: float) -> None:
        if cancelled is not None and cancelled():
            raise ShopError(f"{name} was not read to its end", "Choose it again when it is wanted.")
        if progress is not None:
            progress(share)

    try:
        if len(content) <= PLAIN_BYTES:
            return read_moves(content, name, settings, tell=tell)
        from printcrib.core.compiled.moves import read_words_compiled
        from printcrib.core.compiled.planner import planned_seconds_kernel

        return read_moves(content, name, settings, read_words_compiled, planned_seconds_kernel, tell)
    except MemoryError:
        raise ShopError(
            f"{name} needs more memory than there is", "Make the print file of fewer copies."
        ) from None
