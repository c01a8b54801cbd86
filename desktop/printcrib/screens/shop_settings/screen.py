"""The place "Shop settings": sections on the left, the chosen one on the right."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from PySide6.QtWidgets import QHBoxLayout, QStackedWidget

from printcrib.core.errors import ShopError, StaleEdit
from printcrib.core.records import Record
from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.page import PageFrame
from printcrib.screens.parts.record_table import RecordTable
from printcrib.screens.parts.records import Cell, Column, RecordModel
from printcrib.screens.shell.keepers import Kept
from printcrib.screens.shell.standing import Standing
from printcrib.screens.shop_settings.data import DataSection
from printcrib.screens.shop_settings.hours import HoursSection
from printcrib.screens.shop_settings.hours_panels import DayPanel
from printcrib.screens.shop_settings.learned import LearnedSection
from printcrib.screens.shop_settings.materials import MachinesSection, MaterialsSection
from printcrib.screens.shop_settings.nozzles import NozzlesSection
from printcrib.screens.shop_settings.numbers_of_shop import NumbersSection
from printcrib.screens.shop_settings.people import PeopleSection
from printcrib.screens.shop_settings.presenter import SettingsPresenter, Typical
from printcrib.screens.shop_settings.print_settings import ProfilePanel
from printcrib.screens.shop_settings.printers import PrintersSection
from printcrib.screens.shop_settings.record_panel import RecordPanel
from printcrib.screens.shop_settings.section import Section
from printcrib.screens.shop_settings.unattended import UnattendedSection
from printcrib.services.look_at_settings import SettingsPage

SECTIONS: tuple[type[Section], ...] = (
    PeopleSection,
    PrintersSection,
    NozzlesSection,
    HoursSection,
    MaterialsSection,
    MachinesSection,
    UnattendedSection,
    LearnedSection,
    NumbersSection,
    DataSection,
)
LIST_NARROW, LIST_WIDE = 264, 340
ROW_NARROW, ROW_WIDE = 58, 84


@dataclass(frozen=True)
class Line:
    """One line of the list of sections."""

    id: str
    words: str
    summary: str = ""


def _columns(wide: bool) -> list[Column[Line]]:
    return [Column("", 0, lambda line: Cell(line.words, line.summary if wide else "", strong=wide))]


class ShopSettingsPage(PageFrame):
    """How the shop stands: its people, printers, hours, materials, numbers and books."""

    def __init__(self, standing: Standing) -> None:
        super().__init__(
            "Shop settings",
            main=Action("main", "Add a person", self._do_main, "plus", "Ctrl+N", self._may_main),
        )
        self._here = standing
        self._presenter = SettingsPresenter(standing, self)
        self._drafts: dict[str, dict[str, Any]] = {}
        self._asking: tuple[str, RecordPanel] | None = None
        self._question: AskPanel | None = None
        self.sections: dict[str, Section] = {}
        self._behind: set[str] = set()
        self.stack = QStackedWidget()
        for kind in SECTIONS:
            section = kind(self._presenter, self)
            self.sections[section.id] = section
            self.stack.addWidget(section)
        self.list: RecordTable[Line] = RecordTable(
            RecordModel(_columns(self.wide), key=lambda line: line.id), says="sections", row_px=ROW_NARROW
        )
        self.list.view.horizontalHeader().hide()
        row = QHBoxLayout()
        row.setSpacing(16)
        row.addWidget(self.list)
        row.addWidget(self.stack, 1)
        self.body.addLayout(row, 1)
        self._list_sections()
        self.list.choose(SECTIONS[0].id)
        self.list.chosen_changed.connect(lambda _line: self._on_section())
        self.width_changed.connect(self._on_width)
        self._on_width(self.wide)
        self._on_section()

    @property
    def section(self) -> Section:
        """The section shown now."""
        line = self.list.chosen
        return self.sections[line.id if line is not None else SECTIONS[0].id]

    def open_section(self, section_id: str) -> None:
        """Go to a section."""
        self.list.choose(section_id)

    def arrived(self) -> None:
        """The place came to the front."""
        self._presenter.load()

    def refresh(self, things: frozenset[str]) -> None:
        """Read again when something here changed."""
        if self.isVisible() and self._presenter.concerns(things):
            self._presenter.load()

    def kept_state(self) -> Mapping[str, str]:
        """The section, what was chosen in each, and what was typed and not kept."""
        self._keep_draft()
        chosen = {f"chosen {one}": section.chosen_key for one, section in self.sections.items()}
        return {"section": self.section.id, "drafts": json.dumps(self._drafts), **chosen}

    def restore_state(self, state: Mapping[str, str]) -> None:
        """Go back to it."""
        self.open_section(state.get("section", ""))
        try:
            drafts = json.loads(state.get("drafts", "") or "{}")
        except ValueError:
            drafts = {}
        self._drafts = {key: dict(values) for key, values in drafts.items() if isinstance(values, dict)}
        for one, section in self.sections.items():
            if state.get(f"chosen {one}"):
                section.choose(state[f"chosen {one}"])

    def show_settings(self, page: SettingsPage) -> None:
        """How the shop stands."""
        for section in self.sections.values():
            section.page = page  # what it shows is filled in when it is opened
        self._behind = set(self.sections)
        self._list_sections()
        self._on_section()

    def show_kept(self, kept: Kept) -> None:
        """Where the books are."""
        section = self.sections[DataSection.id]
        if isinstance(section, DataSection):
            section.show_kept(kept)
        self._list_sections()
        self._on_section()

    def ask_profile(self, typical: Typical) -> None:
        """Print settings to fill in."""
        profile = typical.profile

        def make(draft: Mapping[str, Any]) -> RecordPanel:
            panel = ProfilePanel(typical, draft)
            panel.told.connect(self._presenter.keep_profile)
            return panel

        self.ask_record(f"profile {profile.printer_id} {profile.bore_um} {profile.material_id}", make)

    def ask(self, panel: AskPanel) -> None:
        """Stand a question over the page; the one before it is let go."""
        before = self._question
        if before is not None and not before.isVisible():
            before.deleteLater()
        self._question = panel
        panel.open_over(self)

    def ask_record(self, key: str, make: Callable[[Mapping[str, Any]], RecordPanel]) -> None:
        """Stand a record to fill in over the page; what was typed before and not kept is there again."""
        panel = make(self._drafts.get(key, {}))
        self._asking = (key, panel)
        panel.backed.connect(self._keep_draft)
        self.ask(panel)

    def show_refusal(self, error: ShopError) -> None:
        """Why it was refused, above the buttons; what was typed stays."""
        if self._question is not None and self._question.isVisible():
            self._question.set_error(str(error))
        else:
            self._here.messages.problem(error)

    def show_stale(self, error: StaleEdit, fresh: object) -> None:
        """Somebody else was first: both values are said, what was typed stays."""
        panel = self._question
        if isinstance(panel, RecordPanel) and panel.isVisible():
            panel.take_fresh(error, fresh if isinstance(fresh, Record) else None)
        elif isinstance(panel, DayPanel) and panel.isVisible() and isinstance(fresh, tuple):
            panel.take_fresh(error, fresh)
        else:
            self.show_refusal(error)

    def close_question(self) -> None:
        """The question is answered; nothing of it is half-filled any more."""
        if self._asking is not None:
            self._drafts.pop(self._asking[0], None)
            self._asking = None
        while isinstance(self.standing_over, AskPanel):
            self.standing_over.lay_down()
        self._question = None

    def _keep_draft(self) -> None:
        if self._asking is None:
            return
        key, panel = self._asking
        touched = panel.touched()
        if touched:
            self._drafts[key] = touched
        else:
            self._drafts.pop(key, None)
        if not panel.isVisible():
            self._asking = None

    def _list_sections(self) -> None:
        lines = [Line(one, section.words, section.summary()) for one, section in self.sections.items()]
        self.list.set_records(lines)

    def _on_section(self) -> None:
        section = self.section
        if section.id in self._behind and section.page is not None:
            self._behind.discard(section.id)
            section.show_settings(section.page)
        self.stack.setCurrentWidget(section)
        self.set_subtitle(section.sentence())
        if self.main_button is not None:
            self.main_button.setVisible(bool(section.main_words))
            self.main_button.set_words(section.main_words)
            self.main_button.set_icon(section.main_icon)
        self.refresh_actions()

    def _do_main(self) -> None:
        self.section.do_main()

    def _may_main(self) -> bool:
        return hasattr(self, "list") and self.section.may_main()

    def _on_width(self, wide: bool) -> None:
        self.list.setFixedWidth(LIST_WIDE if wide else LIST_NARROW)
        self.list.set_row_px(ROW_WIDE if wide else ROW_NARROW)
        self.list.set_columns(_columns(wide))
        for section in self.sections.values():
            section.set_wide(wide)
