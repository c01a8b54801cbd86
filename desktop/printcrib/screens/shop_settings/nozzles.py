"""The section "Nozzles"."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from printcrib.core.printers import Nozzle
from printcrib.core.units import LARGEST_BORE_UM, SMALLEST_BORE_UM, bore_text
from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.screens.shop_settings.entries import ChoiceEntry, Entry, FigureEntry, PickEntry
from printcrib.screens.shop_settings.presenter import SettingsPresenter
from printcrib.screens.shop_settings.record_panel import RecordPanel
from printcrib.screens.shop_settings.section import Asker, ListSection
from printcrib.services.edit_printers import NewNozzle, nozzle_words
from printcrib.services.look_at_settings import NozzleLine, SettingsPage

ANY = "0"
YES, NO = "yes", "no"
HARD = [(NO, "Brass or plain"), (YES, "Hardened")]
HARD_HINT = "Filament with glass or carbon in it needs a hardened one."
MOST_AT_ONCE = 100
USUAL_UM = 400


@dataclass(frozen=True, kw_only=True)
class Bought(Nozzle):
    """Nozzles that came in: one kind, several of them."""

    number: int = 0
    bore_um: int = USUAL_UM
    count: int = 1


def nozzle_model() -> RecordModel[NozzleLine]:
    """Nozzles by number, retired ones last."""
    return RecordModel(
        [
            Column("Nozzle", 120, lambda line: Cell(nozzle=bore_text(line.nozzle.bore_um)), _bore),
            Column("", 0, _words, sort_key=lambda line: line.nozzle.number),
            Column("Where", 220, lambda line: Cell(line.where, wrap=True), sort_key=lambda line: line.where),
            Column("Printed", 130, lambda line: Cell(line.hours, line.grams), _minutes, right=True),
        ],
        key=lambda line: line.nozzle.id,
    )


def _bore(line: NozzleLine) -> int:
    return line.nozzle.bore_um


def _minutes(line: NozzleLine) -> int:
    return line.nozzle.minutes_used


def _words(line: NozzleLine) -> Cell:
    kind = "hardened" if line.nozzle.hardened else "plain"
    return Cell(line.nozzle.tag, kind, strong=not line.nozzle.retired)


class AddNozzlesPanel(RecordPanel):
    """Nozzles that came in."""

    def __init__(self, printers: Mapping[str, str], draft: Mapping[str, Any]) -> None:
        bore = FigureEntry(
            "bore_um",
            "Bore",
            "mm",
            least=SMALLEST_BORE_UM / 1000,
            most=LARGEST_BORE_UM / 1000,
            decimals=2,
            scale="1000",
        )
        count = FigureEntry("count", "How many", least=1, most=MOST_AT_ONCE)
        rows: list[list[Entry]] = [
            [bore, count],
            [ChoiceEntry("hardened", "Made of", HARD, hint=HARD_HINT)],
            [PickEntry("printer", "For", printers)],
        ]
        super().__init__(
            "Nozzles that came in",
            Bought(),
            rows,
            confirm="Add them",
            sentence="Each gets a number of its own; write it on the box.",
            width=820,
            spread=lambda new: {
                "bore_um": new.bore_um,
                "count": new.count,
                "hardened": YES if new.hardened else NO,
                "printer": str(new.printer_id or ANY),
            },
            gather=lambda new, values: replace(
                new,
                bore_um=values["bore_um"],
                count=values["count"],
                hardened=values["hardened"] == YES,
                printer_id=int(values["printer"]) or None,
            ),
            draft=draft,
        )


class NozzlePanel(RecordPanel):
    """One nozzle to change; its bore is what it is."""

    def __init__(self, nozzle: Nozzle, printers: Mapping[str, str], draft: Mapping[str, Any]) -> None:
        rows: list[list[Entry]] = [
            [ChoiceEntry("hardened", "Made of", HARD, hint=HARD_HINT)],
            [PickEntry("printer", "For", printers, hint="What is on a printer now is told at the Desk.")],
            [ChoiceEntry("retired", "Here", [(NO, "In use"), (YES, "Worn out or lost")])],
        ]
        super().__init__(
            f"Change {nozzle_words(nozzle)}",
            nozzle,
            rows,
            width=820,
            spread=lambda each: {
                "hardened": YES if each.hardened else NO,
                "printer": str(each.printer_id or ANY),
                "retired": YES if each.retired else NO,
            },
            gather=lambda each, values: replace(
                each,
                hardened=values["hardened"] == YES,
                printer_id=int(values["printer"]) or None,
                retired=values["retired"] == YES,
            ),
            draft=draft,
        )


class NozzlesSection(ListSection[NozzleLine]):
    """The nozzles the shop owns, where each is and what went through it."""

    id = "nozzles"
    words = "Nozzles"
    main_words = "Add nozzles"

    def __init__(self, presenter: SettingsPresenter, asker: Asker) -> None:
        super().__init__(
            presenter,
            asker,
            nozzle_model(),
            [("change", "Change", "pencil", self._ask)],
            empty='No nozzle yet. Press "Add nozzles".',
        )

    def show_settings(self, page: SettingsPage) -> None:
        super().show_settings(page)
        self.set_rows(sorted(page.nozzles, key=lambda line: (line.nozzle.retired, line.nozzle.number)))

    def summary(self) -> str:
        if self.page is None:
            return ""
        bores = sorted({each.nozzle.bore_um for each in self.page.nozzles if not each.nozzle.retired})
        return ", ".join(map(bore_text, bores)) or "none yet"

    def sentence(self) -> str:
        if self.page is None:
            return ""
        owned = sum(not each.nozzle.retired for each in self.page.nozzles)
        return f"{owned} nozzle{'' if owned == 1 else 's'}: {self.summary()}."

    def do_main(self) -> None:
        def make(draft: Mapping[str, Any]) -> RecordPanel:
            panel = AddNozzlesPanel(self._printers(), draft)
            panel.told.connect(self._on_bought)
            return panel

        self.asker.ask_record("nozzles", make)

    def _ask(self, line: NozzleLine) -> None:
        def make(draft: Mapping[str, Any]) -> RecordPanel:
            panel = NozzlePanel(line.nozzle, self._printers(), draft)
            panel.told.connect(self.presenter.keep_nozzle)
            return panel

        self.asker.ask_record(f"nozzle {line.nozzle.id}", make)

    def _printers(self) -> dict[str, str]:
        lines = self.page.printers if self.page is not None else ()
        return {ANY: "Any printer", **{str(line.printer.id): line.printer.name for line in lines}}

    def _on_bought(self, bought: Bought) -> None:
        new = NewNozzle(bore_um=bought.bore_um, hardened=bought.hardened, printer_id=bought.printer_id)
        self.presenter.add_nozzles(new, bought.count)
