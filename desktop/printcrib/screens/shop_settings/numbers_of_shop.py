"""The section "Numbers of the shop"."""

from collections.abc import Mapping, Sequence
from typing import Any

from printcrib.core.calendar import wall_zones, zone_words
from printcrib.core.shop import ShopSettings
from printcrib.core.units import grams_words, money_text
from printcrib.screens.parts.cards import Card, FactRow, Scroll, emptied
from printcrib.screens.parts.page import row_of
from printcrib.screens.shop_settings.entries import Entry, FigureEntry, PickEntry, TextEntry
from printcrib.screens.shop_settings.presenter import SettingsPresenter
from printcrib.screens.shop_settings.record_panel import RecordPanel
from printcrib.screens.shop_settings.section import Asker, Section
from printcrib.services.edit_shop import LONGEST_SETUP_MINUTES
from printcrib.services.look_at_settings import SettingsPage

MOST_MONEY = 10_000
MOST_PEOPLE = 50
MOST_COST = 1_000_000


def facts_of(settings: ShopSettings) -> tuple[Sequence[tuple[str, str]], Sequence[tuple[str, str]]]:
    """Names and values, in two columns."""
    rate = settings.hands_on_rate_thousandths
    hour = "not told" if rate is None else f"{money_text(rate)} {settings.currency}"
    return (
        (
            ("Name", settings.name),
            ("Time zone", zone_words(settings.zone)),
            ("Currency", settings.currency),
            ("People at the printers", str(settings.persons)),
            ("An hour by hand", hour),
            ("Clear a platform", f"{settings.clear_minutes} min"),
            ("Change a nozzle", f"{settings.nozzle_minutes} min"),
            ("Change a material", f"{settings.material_minutes} min"),
            ("End before the shift does", f"{settings.safety_minutes} min"),
        ),
        (
            ("Gap between copies", f"{settings.gap_mm:g} mm"),
            ("Most of a platform used", f"{100 * settings.fill_limit:g} %"),
            ("Lost at a change of material", grams_words(settings.purge_mg)),
            ("Never comes off a spool", grams_words(settings.tail_mg)),
            ("A minute late counts", str(settings.late_cost)),
            ("A minute of set-up counts", str(settings.setup_cost)),
            ("A minute of the whole plan", str(settings.makespan_cost)),
        ),
    )


class NumbersPanel(RecordPanel):
    """The numbers to fill in, each with its limits."""

    def __init__(self, settings: ShopSettings, draft: Mapping[str, Any]) -> None:
        super().__init__(
            "The numbers of the shop",
            settings,
            _rows(settings),
            sentence="The run sheet and the estimates follow by themselves.",
            draft=draft,
        )


def _minutes(name: str, label: str, hint: str = "") -> FigureEntry:
    return FigureEntry(name, label, "min", least=0, most=LONGEST_SETUP_MINUTES, hint=hint)


def _cost(name: str, label: str, usual: int) -> FigureEntry:
    return FigureEntry(name, label, least=0, most=MOST_COST, hint=f"Usually {usual}")


def _rows(settings: ShopSettings) -> list[list[Entry]]:
    zones = {zone: zone_words(zone) for zone in dict.fromkeys((*wall_zones(), settings.zone))}
    rate = FigureEntry(
        "hands_on_rate_thousandths",
        "An hour by hand costs",
        settings.currency,
        least=0,
        most=MOST_MONEY,
        decimals=2,
        scale="1000",
        nothing="Not told",
    )
    fill = FigureEntry(
        "fill_limit",
        "Of a platform a run uses, at most",
        "%",
        least=1,
        most=100,
        scale="0.01",
        whole=False,
    )
    return [
        [
            TextEntry("name", "Name of the shop", needed="Type a name."),
            TextEntry("currency", "Currency", hint="Stands beside money, such as EUR."),
        ],
        [PickEntry("zone", "Time zone on your wall", zones), rate],
        [
            FigureEntry("persons", "People who run the printers at once", least=1, most=MOST_PEOPLE),
            _minutes("safety_minutes", "A run ends before the shift does by"),
        ],
        [_minutes("clear_minutes", "Clearing a platform"), _minutes("nozzle_minutes", "Changing a nozzle")],
        [
            _minutes("material_minutes", "Changing a material or colour"),
            FigureEntry("purge_mg", "Lost at that change", "g", least=0, most=200, decimals=1, scale="1000"),
        ],
        [
            FigureEntry("gap_mm", "Gap between copies", "mm", least=0, most=100, decimals=1, whole=False),
            fill,
        ],
        [
            FigureEntry(
                "tail_mg", "Never comes off a spool", "g", least=0, most=500, decimals=1, scale="1000"
            ),
            _cost("late_cost", "The plan counts a minute late as", 1000),
        ],
        [
            _cost("setup_cost", "A minute of set-up as", 20),
            _cost("makespan_cost", "A minute of its whole length as", 1),
        ],
    ]


class NumbersSection(Section):
    """The shop's name, zone, set-up minutes, rates, and what the plan weighs."""

    id = "numbers"
    words = "Numbers of the shop"
    main_words = "Change the numbers"
    main_icon = "pencil"

    def __init__(self, presenter: SettingsPresenter, asker: Asker) -> None:
        super().__init__(presenter, asker)
        self.scrolls = (Scroll(spacing=0), Scroll(spacing=0))
        cards = []
        for scroll in self.scrolls:
            card = Card(padding=16)
            card.body.addWidget(scroll, 1)
            cards.append(card)
        self.column.addLayout(row_of(*cards, spacing=16, stretch=(1, 1)), 1)

    def show_settings(self, page: SettingsPage) -> None:
        super().show_settings(page)
        for scroll, facts in zip(
            self.scrolls, facts_of(page.settings) if page.settings else (), strict=False
        ):
            emptied(scroll.body)
            for name, value in facts:
                scroll.add(FactRow(name, value))
            scroll.body.addStretch(1)

    def summary(self) -> str:
        return self.page.settings.name if self.page and self.page.settings else ""

    def sentence(self) -> str:
        return "Zone, set-ups, rates, and what the plan weighs against what."

    def may_main(self) -> bool:
        return self.page is not None and self.page.settings is not None

    def do_main(self) -> None:
        settings = self.page.settings if self.page is not None else None
        if settings is None:
            return

        def make(draft: Mapping[str, Any]) -> RecordPanel:
            panel = NumbersPanel(settings, draft)
            panel.told.connect(self.presenter.keep_numbers)
            return panel

        self.asker.ask_record("numbers", make)
