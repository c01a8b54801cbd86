"""The section "Unattended running": the lead's answers, per printer and material."""

from PySide6.QtCore import Signal

from printcrib.core.people import Role
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.fields import ChoiceRow, Field
from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.screens.parts.words import Words
from printcrib.screens.shop_settings.presenter import SettingsPresenter
from printcrib.screens.shop_settings.section import Asker, ListSection
from printcrib.services.edit_printers import UNATTENDED_ASKED_AS
from printcrib.services.look_at_settings import SettingsPage, UnattendedLine

YES, NO = "yes", "no"
CAUTION = (
    "Do not leave a print unattended unless site fire rules allow it."
    " Local codes and licensed practice come first."
)


def unattended_model() -> RecordModel[UnattendedLine]:
    """Every printer in use with every material it may print."""
    return RecordModel(
        [
            Column("Printer", 190, lambda line: Cell(line.printer, strong=True), lambda line: line.printer),
            Column("Material", 0, lambda line: Cell(line.material), lambda line: line.material.casefold()),
            Column("With nobody in", 270, _answer, lambda line: (not line.allowed, not line.who)),
        ],
        key=lambda line: (line.printer_id, line.material_id),
    )


def _answer(line: UnattendedLine) -> Cell:
    if not line.who:
        return Cell("no", "not answered yet", tone="second")
    return Cell("yes" if line.allowed else "no", f"{line.who} answered", strong=line.allowed)


class UnattendedPanel(AskPanel):
    """The question for one printer and material; nothing is answered before the lead answers.

    Signals:
        told(bool): whether prints may run when nobody is in.
    """

    told = Signal(bool)

    def __init__(self, line: UnattendedLine, who: str, leads: bool) -> None:
        super().__init__(
            UNATTENDED_ASKED_AS,
            confirm="Answer",
            sentence=f"On {line.printer}, {line.material}. {who} answers as the lead."
            if leads
            else f"On {line.printer}, {line.material}. Only the lead answers; {who} stands here.",
            width=820,
            stays=True,
        )
        answered = (YES if line.allowed else NO) if line.who else None
        self.answer = ChoiceRow(
            [(NO, "No"), (YES, "Yes, it may")], chosen=answered, says=UNATTENDED_ASKED_AS, columns=2
        )
        self.field = Field(f"{line.printer}, {line.material}", self.answer)
        self.body.addWidget(self.field)
        self.body.addWidget(Words(CAUTION, weight="medium", wrap=True))
        self.body.addStretch(1)
        self.confirmed.connect(self._on_told)

    def _on_told(self) -> None:
        if self.answer.chosen is None:
            self.field.set_error("Answer no or yes; no is always allowed.")
            return
        self.field.set_error("")
        self.told.emit(self.answer.chosen == YES)


class UnattendedSection(ListSection[UnattendedLine]):
    """Whether prints may run when nobody is in; off until the lead answers."""

    id = "unattended"
    words = "Unattended running"
    main_words = "Answer for this one"
    main_icon = "nobody"

    def __init__(self, presenter: SettingsPresenter, asker: Asker) -> None:
        super().__init__(
            presenter,
            asker,
            unattended_model(),
            [],
            empty="Enter a printer and a material first.",
        )
        self.question = Words(UNATTENDED_ASKED_AS, points=20, weight="strong", wrap=True)
        self.caution = Words(CAUTION, tone="second", wrap=True)
        self.column.insertWidget(0, self.question)
        self.column.addWidget(self.caution)

    def show_settings(self, page: SettingsPage) -> None:
        super().show_settings(page)
        self.set_rows(page.unattended)

    def summary(self) -> str:
        if self.page is None:
            return ""
        allowed = sum(line.allowed for line in self.page.unattended)
        return f"allowed for {allowed}" if allowed else "off"

    def sentence(self) -> str:
        if self.page is None:
            return ""
        allowed = sum(line.allowed for line in self.page.unattended)
        return f"Allowed for {allowed} of {len(self.page.unattended)}. Off until the lead answers."

    def may_main(self) -> bool:
        return self.page is not None and self.table.chosen is not None

    def do_main(self) -> None:
        line = self.table.chosen
        if line is None:
            return
        person = self.presenter.standing.person
        panel = UnattendedPanel(line, person.name, person.may(Role.LEAD))
        words = f"{line.material} on {line.printer}"
        panel.told.connect(
            lambda allowed: self.presenter.answer_unattended(
                line.printer_id, line.material_id, allowed, words
            )
        )
        self.asker.ask(panel)
