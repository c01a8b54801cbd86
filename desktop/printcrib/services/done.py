"""What a use case answers. Apart from the other interfaces, which load every kind of record: the window's
first paint needs this one and must not wait for those."""

from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")


@dataclass(frozen=True)
class Done(Generic[T]):
    """What a use case answers: the result, what kinds of record changed, and the press for undo."""

    value: T
    changed: frozenset[str] = frozenset()
    press_number: int = 0
