"""The section "Printers"."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from printcrib.core.printers import Printer, PrintProfile
from printcrib.core.units import bore_text
from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.screens.shop_settings.entries import ChoiceEntry, FigureEntry, TextEntry, TicksEntry
from printcrib.screens.shop_settings.presenter import SettingsPresenter
from printcrib.screens.shop_settings.print_settings import SETTINGS, WhichPanel
from printcrib.screens.shop_settings.record_panel import RecordPanel
from printcrib.screens.shop_settings.section import Asker, ListSection
from printcrib.services.edit_printers import LARGEST_PLATFORM_MM, SMALLEST_PLATFORM_MM
from printcrib.services.look_at_settings import PrinterLine, ProfileLine, SettingsPage

IN_USE, OUT, OFF = "use", "out", "off"
STATES = [(IN_USE, "In use"), (OUT, "Out of service"), (OFF, "No longer here")]
MOST_MONEY = 10_000


def state_of(printer: Printer) -> str:
    """Whether the plan uses a printer."""
    if not printer.active:
        return OFF
    return OUT if printer.out_of_service else IN_USE


def printer_model() -> RecordModel[PrinterLine]:
    """Printers by name, with the nozzle fitted now."""
    return RecordModel(
        [
            Column("Printer", 0, _name, sort_key=lambda line: line.printer.name.casefold()),
            Column("Fitted", 190, lambda line: Cell(line.fitted, wrap=True)),
        ],
        key=lambda line: line.printer.id,
    )


def _name(line: PrinterLine) -> Cell:
    state = state_of(line.printer)
    words = line.platform.removesuffix(" mm") if state == IN_USE else dict(STATES)[state].lower()
    tone = "ink" if state == IN_USE else "second"
    return Cell(line.printer.name, words, strong=True, tone="second" if tone == "second" else "ink")


class PrinterPanel(RecordPanel):
    """A new printer, or one to change."""

    def __init__(
        self, printer: Printer, materials: Mapping[str, str], currency: str, draft: Mapping[str, Any]
    ) -> None:
        size = {"unit": "mm", "least": SMALLEST_PLATFORM_MM, "most": LARGEST_PLATFORM_MM, "decimals": 1}
        rate = FigureEntry(
            "rate_thousandths",
            "An hour of it costs",
            currency,
            least=0,
            most=MOST_MONEY,
            decimals=2,
            scale="1000",
            nothing="Not told",
        )
        rows: list[list[Any]] = [
            [TextEntry("name", "Name", example="North", needed="Type a name."), rate],
            [
                FigureEntry("width_mm", "Platform, width", whole=False, **size),  # type: ignore[arg-type]
                FigureEntry("depth_mm", "Depth", whole=False, **size),  # type: ignore[arg-type]
                FigureEntry("height_mm", "Height", whole=False, **size),  # type: ignore[arg-type]
            ],
            [
                TicksEntry(
                    "materials",
                    "Materials it may print",
                    list(materials.items()),
                    hint="None ticked means all of them.",
                )
            ],
        ]
        if printer.id:
            hint = "The plan uses only printers in use."
            rows.append([ChoiceEntry("state", "Here", STATES, hint=hint)])
        super().__init__(
            f"Change {printer.name}" if printer.id else "A new printer",
            printer,
            rows,
            sentence="Estimates and the run sheet follow by themselves.",
            spread=self._spread_printer,
            gather=_gather,
            draft=draft,
        )

    def _spread_printer(self, printer: Printer) -> dict[str, Any]:
        width, depth = printer.platform_mm
        values = {
            "name": printer.name,
            "rate_thousandths": printer.rate_thousandths,
            "width_mm": width,
            "depth_mm": depth,
            "height_mm": printer.height_mm,
            "materials": self._ticked(printer.material_ids),
            "state": state_of(printer),
        }
        return {name: value for name, value in values.items() if name in self.entries}

    def _ticked(self, keys: Sequence[int]) -> tuple[str, ...]:
        """In the order of the ticks, so that an untouched answer is not taken for a change."""
        entry = self.entries["materials"]
        entry.set_value(keys)
        ticked: tuple[str, ...] = entry.value()
        return ticked


def _gather(printer: Printer, values: dict[str, Any]) -> Printer:
    state = values.get("state", IN_USE)
    return replace(
        printer,
        name=values["name"],
        rate_thousandths=values["rate_thousandths"],
        platform_mm=(values["width_mm"], values["depth_mm"]),
        height_mm=values["height_mm"],
        material_ids=tuple(int(key) for key in values["materials"]),
        active=state != OFF,
        out_of_service=state == OUT,
    )


class PrintersSection(ListSection[PrinterLine]):
    """The printers, how large they are, what they cost, and how each prints."""

    id = "printers"
    words = "Printers"
    main_words = "Add a printer"

    def __init__(self, presenter: SettingsPresenter, asker: Asker) -> None:
        super().__init__(
            presenter,
            asker,
            printer_model(),
            [
                ("change", "Change", "pencil", lambda line: self._ask(line.printer)),
                ("profile", "Print settings", "shop_settings", self._ask_which),
            ],
            empty='No printer yet. Press "Add a printer".',
            facts=True,
        )

    def show_settings(self, page: SettingsPage) -> None:
        super().show_settings(page)
        self.set_rows(sorted(page.printers, key=lambda line: not line.printer.active))

    def summary(self) -> str:
        if self.page is None:
            return ""
        states = [state_of(line.printer) for line in self.page.printers]
        out = states.count(OUT)
        return f"{states.count(IN_USE)} in use" + (f", {out} out of service" if out else "")

    def sentence(self) -> str:
        return f"{self.summary()}. Platform, cost, and how each prints with each nozzle."

    def facts_of(self, row: PrinterLine) -> tuple[str, Sequence[tuple[str, str]]]:
        facts = [
            ("Platform", row.platform),
            ("Fitted", row.fitted),
            ("Prints", row.materials),
            ("An hour costs", row.rate or "not told"),
        ]
        if not any(profile.values for profile in row.profiles):
            facts.append(("Print settings", "all typical"))
        for profile in row.profiles:
            facts += profile_facts(profile)
        return row.printer.name, facts

    def do_main(self) -> None:
        self._ask(Printer(name=""))

    def _ask(self, printer: Printer) -> None:
        page = self.page
        if page is None:
            return
        materials = {
            str(each.id): each.name
            for each in page.materials
            if each.active or each.id in printer.material_ids
        }
        currency = page.settings.currency if page.settings else ""

        def make(draft: Mapping[str, Any]) -> RecordPanel:
            panel = PrinterPanel(printer, materials, currency, draft)
            panel.told.connect(self.presenter.keep_printer)
            return panel

        self.asker.ask_record(f"printer {printer.id}", make)

    def _ask_which(self, line: PrinterLine) -> None:
        page = self.page
        if page is None:
            return
        bores = sorted(
            {
                each.nozzle.bore_um
                for each in page.nozzles
                if not each.nozzle.retired and each.nozzle.printer_id in (None, line.printer.id)
            }
        )
        materials = {each.id: each.name for each in page.materials if each.active}
        panel = WhichPanel(line.printer.name, bores, materials)
        panel.told.connect(lambda bore_um, key: self._ask_profile(line, bore_um, key or None, materials))
        self.asker.ask(panel)

    def _ask_profile(
        self, line: PrinterLine, bore_um: int, material_id: int | None, materials: Mapping[int, str]
    ) -> None:
        new = PrintProfile(printer_id=line.printer.id, bore_um=bore_um, material_id=material_id)
        known = (each.profile for each in line.profiles)
        profile = next(
            (each for each in known if (each.bore_um, each.material_id) == (bore_um, material_id)), new
        )
        material = materials.get(material_id or 0, "every material")
        self.presenter.ask_profile(line.printer, profile, material)


def profile_facts(line: ProfileLine) -> list[tuple[str, str]]:
    """What the shop changed for one nozzle and material, beside the typical values."""
    facts = []
    for name, value, typical in line.values:
        setting = SETTINGS[name]
        shown = f"{setting.shown(value)}, typical {setting.shown(typical)}"
        facts.append((f"{bore_text(line.profile.bore_um)}, {line.material}", f"{setting.label}: {shown}"))
    return facts
