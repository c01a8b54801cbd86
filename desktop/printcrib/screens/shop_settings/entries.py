"""One thing to fill in of a record: its field on the page, its limits, and how its value is said."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from PySide6.QtWidgets import QWidget

from printcrib.screens.parts.fields import ChoiceRow, Field, NotesField, TextField, TickList
from printcrib.screens.parts.figure_field import FigureField
from printcrib.screens.parts.pick import Pick, PickField


class Entry:
    """One value of a record on a form.

    Attributes:
        name: of the value. field: label, control, the limits below it.
    """

    def __init__(self, name: str, label: str, control: QWidget, hint: str = "") -> None:
        self.name = name
        self.hint = hint
        self.field = Field(label, control, hint)

    def value(self) -> Any:
        """What is filled in."""
        raise NotImplementedError

    def set_value(self, value: Any) -> None:
        """Show a value."""
        raise NotImplementedError

    def words(self, value: Any) -> str:
        """A value as it is said."""
        return str(value)

    def fault(self) -> str:
        """What is wrong with what is filled in; "" when all is well."""
        return ""

    def say_theirs(self, who: str, value: Any) -> None:
        """Say beside the field what somebody else made of it meanwhile."""
        self.field.set_hint(f"{who} made it {self.words(value)}.")

    def say_limits(self) -> None:
        """Say the limits again."""
        self.field.set_hint(self.hint)


class TextEntry(Entry):
    """One line of words; `needed` says that it may not stay empty."""

    def __init__(
        self, name: str, label: str, *, example: str = "", hint: str = "", needed: str = "", notes: int = 0
    ) -> None:
        self._needed = needed
        self.control: TextField | NotesField = (
            NotesField(says=label, example=example, lines=notes)
            if notes
            else TextField(says=label, example=example)
        )
        super().__init__(name, label, self.control, hint)

    def value(self) -> str:
        return self.control.text().strip()

    def set_value(self, value: Any) -> None:
        if isinstance(self.control, NotesField):
            self.control.setPlainText(str(value))
        else:
            self.control.setText(str(value))

    def words(self, value: Any) -> str:
        return f'"{value}"' if value else "empty"

    def fault(self) -> str:
        return self._needed if not self.value() else ""


class FigureEntry(Entry):
    """A number within limits, which stand below it.

    Args:
        least, most: as it is shown. scale: what one of the shown unit is in the books (1 g is 1000 mg).
        whole: the books keep a whole number. nothing: words while there is none; "" where there must be one.
    """

    def __init__(
        self,
        name: str,
        label: str,
        unit: str = "",
        *,
        least: float,
        most: float,
        decimals: int = 0,
        scale: str = "1",
        whole: bool = True,
        nothing: str = "",
        clear_words: str = "Leave empty",
        hint: str = "",
    ) -> None:
        self.control = FigureField(
            says=label, unit=unit, decimals=decimals, nothing=nothing, clear_words=clear_words
        )
        self._least, self._most = (Decimal(str(limit)).normalize() for limit in (least, most))
        self._scale, self._whole, self._unit = Decimal(scale), whole, unit
        self._limits = f"{self._least:f} to {self._most:f} {unit}".strip()
        super().__init__(name, label, self.control, ". ".join(part for part in (self._limits, hint) if part))
        self.control.figure_changed.connect(lambda _figure: self.field.set_error(self.fault()))

    def value(self) -> int | float | None:
        figure = self.control.figure
        if figure is None:
            return None
        kept = figure * self._scale
        return int(kept.to_integral_value()) if self._whole else float(kept)

    def set_value(self, value: Any) -> None:
        self.control.set_figure(self._shown(value))

    def words(self, value: Any) -> str:
        return self.control.words(self._shown(value))

    def fault(self) -> str:
        figure = self.control.figure
        if figure is None or self._least <= figure <= self._most:
            return ""
        return f"Give {self._limits}."

    def _shown(self, value: Any) -> Decimal | None:
        if value is None:
            return None
        return (Decimal(str(value)) / self._scale).normalize()


class ChoiceEntry(Entry):
    """One of a few."""

    def __init__(
        self, name: str, label: str, choices: Sequence[tuple[str, str]], *, hint: str = "", columns: int = 0
    ) -> None:
        self.control = ChoiceRow(choices, says=label, columns=columns)
        self._words = dict(choices)
        super().__init__(name, label, self.control, hint)

    def value(self) -> str:
        return self.control.chosen or ""

    def set_value(self, value: Any) -> None:
        self.control.set_chosen(str(value))

    def words(self, value: Any) -> str:
        return f'"{self._words.get(str(value), value)}"'


class TicksEntry(Entry):
    """Any number of several."""

    def __init__(
        self,
        name: str,
        label: str,
        choices: Sequence[tuple[str, str]],
        *,
        hint: str = "",
        columns: int = 4,
        needed: str = "",
    ) -> None:
        self.control = TickList(choices, says=label, columns=columns, holding=False)
        self._words = dict(choices)
        self._needed = needed
        super().__init__(name, label, self.control, hint)

    def value(self) -> tuple[str, ...]:
        return tuple(one for one in self._words if one in self.control.ticked)

    def set_value(self, value: Any) -> None:
        self.control.set_ticked(frozenset(map(str, value)))

    def words(self, value: Any) -> str:
        return ", ".join(self._words.get(one, one) for one in value) or "none"

    def fault(self) -> str:
        return self._needed if not self.value() else ""


class PickEntry(Entry):
    """One of many, from a list."""

    def __init__(self, name: str, label: str, picks: Mapping[str, str], *, hint: str = "") -> None:
        self.control = PickField(says=label, picks=[Pick(key, words) for key, words in picks.items()])
        self._words = dict(picks)
        super().__init__(name, label, self.control, hint)

    def value(self) -> str:
        return self.control.chosen

    def set_value(self, value: Any) -> None:
        self.control.set_chosen(str(value))

    def words(self, value: Any) -> str:
        return self._words.get(str(value), str(value))
