"""The one way to tell a person something: a sentence in the strip at the bottom of the window."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from printcrib.core.errors import ShopError


@dataclass(frozen=True)
class Answer:
    """The button beside a message that answers it.

    Attributes:
        words: a verb ("Undo", "Weigh by hand").
        call: what it does; the message goes away first.
        icon: a name of parts/icons.py.
    """

    words: str
    call: Callable[[], None]
    icon: str | None = None


class Messages(Protocol):
    """What a presenter needs to tell a person something; the window's strip is one."""

    def say(self, sentence: str, answer: Answer | None = None, icon: str = "done") -> None:
        """Something was done, or is so; plain ink."""
        ...

    def problem(self, error: ShopError | str, answer: Answer | None = None) -> None:
        """Something cannot be done: what is wrong and what to do; signal tint, icon and words."""
        ...

    def busy(
        self,
        words: str,
        percent: int | None = None,
        left: str = "",
        cancel: Callable[[], None] | None = None,
    ) -> None:
        """Something takes long: percent and time left when known, always a way to cancel."""
        ...

    def idle(self) -> None:
        """What took long is over; the sentence before it comes back."""
        ...

    def set_next(self, words: str) -> None:
        """What the right end tells: "Next swap 10:02, North"; "" for nothing."""
        ...
