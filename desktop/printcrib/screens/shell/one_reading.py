"""A reading that is never under way twice. Plain Python without Qt."""

from collections.abc import Callable


class OneReading:
    """Asked for while it is under way, it is done once more afterwards.

    Args:
        again: reads anew; asks `begin` first.
    """

    def __init__(self, again: Callable[[], None]) -> None:
        self._again = again
        self._wanted = self._under_way = False

    @property
    def under_way(self) -> bool:
        """Whether it was begun and is not over."""
        return self._under_way

    def begin(self) -> bool:
        """Whether to read now; when not, it is done once more afterwards."""
        self._wanted = self._under_way
        self._under_way = True
        return not self._wanted

    def over(self) -> None:
        """It was read, or could not be."""
        wanted, self._wanted, self._under_way = self._wanted, False, False
        if wanted:
            self._again()
