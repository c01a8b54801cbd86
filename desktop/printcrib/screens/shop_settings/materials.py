"""The sections "Materials" and "Machines"."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from printcrib.core.aids import Machine
from printcrib.core.materials import Material
from printcrib.core.units import money_text
from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.screens.shop_settings.entries import ChoiceEntry, Entry, FigureEntry, TextEntry
from printcrib.screens.shop_settings.presenter import SettingsPresenter
from printcrib.screens.shop_settings.record_panel import RecordPanel
from printcrib.screens.shop_settings.section import Asker, ListSection
from printcrib.services.look_at_settings import SettingsPage

YES, NO = "yes", "no"
LEAST_DENSITY, MOST_DENSITY = 0.3, 10
MOST_MONEY = 10_000
USED = [(YES, "In use"), (NO, "No longer used")]


def material_model() -> RecordModel[Material]:
    """Materials by name, those no longer used last."""
    return RecordModel(
        [
            Column("Material", 0, _name, sort_key=lambda material: material.name.casefold()),
            Column("Keep below", 160, _keep_below, lambda each: each.keep_below_c or 0, right=True),
        ],
        key=lambda material: material.id,
        search_text=lambda material: material.name,
    )


def _name(material: Material) -> Cell:
    told = [*(["wears nozzles"] if material.abrasive else []), *([] if material.active else ["not used"])]
    return Cell(material.name, ", ".join(told), strong=material.active)


def _keep_below(material: Material) -> Cell:
    return Cell("not told" if material.keep_below_c is None else f"{material.keep_below_c} °C")


def _rows(material: Material, currency: str) -> list[list[Entry]]:
    price = FigureEntry(
        "price_per_kg_thousandths",
        "A kilogram costs",
        currency,
        least=0,
        most=MOST_MONEY,
        decimals=2,
        scale="1000",
        nothing="Not told",
    )
    density = FigureEntry(
        "density", "Density", "g/cm³", least=LEAST_DENSITY, most=MOST_DENSITY, decimals=3, whole=False
    )
    celsius = {"unit": "°C", "least": 20, "most": 300, "nothing": "Not told"}
    rows: list[list[Entry]] = [
        [TextEntry("name", "Name", example="PETG", needed="Type a name."), price],
        [density, TextEntry("density_source", "Where the density comes from")],
        [
            FigureEntry("keep_below_c", "Keep an aid of it below", hint="The cautious figure.", **celsius),  # type: ignore[arg-type]
            TextEntry("softens_words", "It softens at"),
        ],
        [TextEntry("nozzle_c_words", "Nozzle, °C"), TextEntry("bed_c_words", "Platform, °C")],
        [
            FigureEntry("drying_c", "Dry it at", **celsius),  # type: ignore[arg-type]
            FigureEntry(
                "drying_hours",
                "for",
                "h",
                least=0.5,
                most=72,
                decimals=1,
                whole=False,
                nothing="Not told",
            ),
        ],
        [TextEntry("drying_words", "Drying, in words"), TextEntry("strength_words", "Strength")],
        [
            ChoiceEntry(
                "abrasive",
                "It wears nozzles",
                [(NO, "No"), (YES, "Yes, needs a hardened nozzle")],
                columns=2,
            )
        ],
        [TextEntry("contact", "What coolant and oil do to it", notes=3)],
        [TextEntry("source", "Where these figures come from", notes=2, hint="Kept and shown beside them.")],
    ]
    if material.id:
        rows.append([ChoiceEntry("active", "Here", USED)])
    return rows


class MaterialPanel(RecordPanel):
    """A new material, or one to change, with the sources of its figures."""

    def __init__(self, material: Material, currency: str, draft: Mapping[str, Any]) -> None:
        super().__init__(
            f"Change {material.name}" if material.id else "A new material",
            material,
            _rows(material, currency),
            sentence="Typical figures, not ratings. Estimates follow density and price.",
            spread=self._spread_material,
            gather=lambda base, values: replace(base, **{**values, **_flags(values)}),
            draft=draft,
        )

    def _spread_material(self, material: Material) -> dict[str, Any]:
        flags = {"abrasive": material.abrasive, "active": material.active}
        return {
            name: (YES if flags[name] else NO) if name in flags else getattr(material, name)
            for name in self.entries
        }


def _flags(values: Mapping[str, Any]) -> dict[str, bool]:
    return {name: values[name] == YES for name in ("abrasive", "active") if name in values}


class MaterialsSection(ListSection[Material]):
    """The filaments the shop prints, with typical figures and where they come from."""

    id = "materials"
    words = "Materials"
    main_words = "Add a material"

    def __init__(self, presenter: SettingsPresenter, asker: Asker) -> None:
        super().__init__(
            presenter,
            asker,
            material_model(),
            [("change", "Change", "pencil", self._ask)],
            empty='No material yet. Press "Add a material".',
            facts=True,
        )

    def show_settings(self, page: SettingsPage) -> None:
        super().show_settings(page)
        self.set_rows(sorted(page.materials, key=lambda each: (not each.active, each.name.casefold())))

    def summary(self) -> str:
        return f"{sum(each.active for each in self.page.materials)} in use" if self.page else ""

    def sentence(self) -> str:
        return f"{self.summary()}. Typical figures; the spool maker's sheet comes first."

    def facts_of(self, row: Material) -> tuple[str, Sequence[tuple[str, str]]]:
        price = row.price_per_kg_thousandths
        currency = self.page.settings.currency if self.page and self.page.settings else ""
        drying = row.drying_words or (
            f"{row.drying_hours:g} h at {row.drying_c} °C" if row.drying_c and row.drying_hours else ""
        )
        facts = [
            ("Density", f"{row.density:g} g/cm³"),
            ("From", row.density_source),
            ("Keep below", "" if row.keep_below_c is None else f"{row.keep_below_c} °C"),
            ("Softens", row.softens_words),
            ("Strength", row.strength_words),
            ("Nozzle, °C", row.nozzle_c_words),
            ("Platform, °C", row.bed_c_words),
            ("Drying", drying),
            ("Coolant and oil", row.contact),
            ("Nozzle", "needs a hardened one" if row.abrasive else "any"),
            ("A kilogram", "not told" if price is None else f"{money_text(price)} {currency}"),
            ("Figures from", row.source),
        ]
        return row.name, [fact for fact in facts if fact[1]]

    def do_main(self) -> None:
        self._ask(Material(name="", density=1.24, density_source="", source=""))

    def _ask(self, material: Material) -> None:
        currency = self.page.settings.currency if self.page and self.page.settings else ""

        def make(draft: Mapping[str, Any]) -> RecordPanel:
            panel = MaterialPanel(material, currency, draft)
            panel.told.connect(self.presenter.keep_material)
            return panel

        self.asker.ask_record(f"material {material.id}", make)


def machine_model() -> RecordModel[Machine]:
    """Machines by name, those no longer here last."""
    return RecordModel(
        [
            Column("Machine", 0, lambda machine: Cell(machine.name, strong=machine.active)),
            Column("", 200, lambda machine: Cell("" if machine.active else "no longer here", tone="second")),
        ],
        key=lambda machine: machine.id,
    )


class MachinePanel(RecordPanel):
    """A new machine, or one to change."""

    def __init__(self, machine: Machine, draft: Mapping[str, Any]) -> None:
        rows: list[list[Entry]] = [[TextEntry("name", "Name", example="Lathe 2", needed="Type a name.")]]
        if machine.id:
            rows.append([ChoiceEntry("active", "Here", [(YES, "In use"), (NO, "No longer here")])])
        super().__init__(
            f"Change {machine.name}" if machine.id else "A new machine",
            machine,
            rows,
            sentence="As it is called in the shop; aids are handed out to it.",
            width=720,
            spread=self._spread_machine,
            gather=lambda base, values: replace(base, **{**values, **_flags(values)}),
            draft=draft,
        )

    def _spread_machine(self, machine: Machine) -> dict[str, Any]:
        values = {"name": machine.name, "active": YES if machine.active else NO}
        return {name: value for name, value in values.items() if name in self.entries}


class MachinesSection(ListSection[Machine]):
    """The machines that aids are used at."""

    id = "machines"
    words = "Machines"
    main_words = "Add a machine"

    def __init__(self, presenter: SettingsPresenter, asker: Asker) -> None:
        super().__init__(
            presenter,
            asker,
            machine_model(),
            [("change", "Change", "pencil", self._ask)],
            empty='No machine yet. Press "Add a machine".',
        )

    def show_settings(self, page: SettingsPage) -> None:
        super().show_settings(page)
        self.set_rows(sorted(page.machines, key=lambda each: (not each.active, each.name.casefold())))

    def summary(self) -> str:
        return f"{sum(each.active for each in self.page.machines)} in use" if self.page else ""

    def sentence(self) -> str:
        return "The machines that aids are handed out to and counted at."

    def do_main(self) -> None:
        self._ask(Machine(name=""))

    def _ask(self, machine: Machine) -> None:
        def make(draft: Mapping[str, Any]) -> RecordPanel:
            panel = MachinePanel(machine, draft)
            panel.told.connect(self.presenter.keep_machine)
            return panel

        self.asker.ask_record(f"machine {machine.id}", make)
