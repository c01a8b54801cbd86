"""The place "Pattern book": the shop's own standard aids, their sizes, models and releases."""

from collections.abc import Mapping

from PySide6.QtWidgets import QHBoxLayout

from printcrib.core.errors import ShopError
from printcrib.core.materials import Material
from printcrib.core.patterns import Pattern, Size
from printcrib.core.shapes import Mesh
from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.fields import TextField
from printcrib.screens.parts.page import PageFrame, column_of
from printcrib.screens.parts.record_table import RecordTable
from printcrib.screens.pattern_book.columns import pattern_columns, pattern_model
from printcrib.screens.pattern_book.pattern_panel import PatternPanel
from printcrib.screens.pattern_book.presenter import BookPresenter
from printcrib.screens.pattern_book.size_card import PatternCard
from printcrib.screens.pattern_book.size_panel import RevisionPanel, SizePanel, TurnPanel
from printcrib.screens.shell.standing import Standing
from printcrib.services.look_at_patterns import PatternPage, PatternRow, SizeLine

SIDE_NARROW, SIDE_WIDE = 484, 640


class PatternBookPage(PageFrame):
    """The list on the left, the chosen pattern on the right, "Request this" on top."""

    def __init__(self, standing: Standing) -> None:
        super().__init__(
            "Pattern book",
            main=Action("request", "Request this", self._request, "requests", "Ctrl+Return", self._has_size),
            others=[Action("new", "A new pattern", lambda: self._presenter.ask_new(), "plus", "Ctrl+N")],
        )
        self._here = standing
        self._presenter = BookPresenter(standing, self)
        self._question: AskPanel | None = None
        self._page: PatternPage | None = None
        self._size_id: int | None = None
        self.search = TextField(says="Find a pattern or size", example="Find by name, size or what it does")
        self.table: RecordTable[PatternRow] = RecordTable(
            pattern_model(self.wide),
            says="patterns",
            empty='Nothing found. Press "A new pattern" to add one.',
        )
        self.card = PatternCard(
            [
                ("size", "Add a size", self._ask_size),
                ("model", "This size", self._ask_about_size),
                ("pattern", "Change it", self._ask_change),
            ]
        )
        self.search.textChanged.connect(self._presenter.search)
        self.table.chosen_changed.connect(lambda _row: self._on_chosen())
        self.table.opened.connect(lambda _row: self._ask_change())
        self.card.size_chosen.connect(self._on_size)
        row = QHBoxLayout()
        row.setSpacing(16)
        row.addLayout(column_of(self.search, self.table, spacing=12), 1)
        row.addWidget(self.card)
        self.body.addLayout(row, 1)
        self.width_changed.connect(self._on_width)
        self._on_width(self.wide)

    def arrived(self) -> None:
        """The place came to the front."""
        self._presenter.load()

    def refresh(self, things: frozenset[str]) -> None:
        """Read the book again when something in it changed."""
        if self.isVisible() and self._presenter.concerns(things):
            self._presenter.load()

    def go_to(self, key: int) -> None:
        """Choose one pattern."""
        self._presenter.chosen = key
        self._presenter.load()

    def kept_state(self) -> Mapping[str, str]:
        """Which pattern was chosen, and what the list was narrowed to."""
        return {"chosen": str(self._presenter.chosen or ""), "search": self.search.text()}

    def restore_state(self, state: Mapping[str, str]) -> None:
        """Go back to it."""
        if state.get("chosen", "").isdigit():
            self._presenter.chosen = int(state["chosen"])
        self.search.setText(state.get("search", ""))

    def show_patterns(self, rows: tuple[PatternRow, ...]) -> None:
        """The book's list."""
        short = sum(row.short for row in rows)
        missing = f" {short} spare{'' if short == 1 else 's'} short of the minimum." if short else ""
        self.set_subtitle(f"{len(rows)} pattern{'' if len(rows) == 1 else 's'}.{missing}")
        wanted = self._presenter.chosen
        self.table.set_records(rows)
        keys = [row.pattern.id for row in rows]
        if wanted in keys:
            self.table.choose(wanted)
        elif keys:
            self.table.choose(keys[0])
        self._on_chosen()

    def show_pattern(self, page: PatternPage | None) -> None:
        """One pattern in full."""
        self._page = page
        self.card.show_pattern(page, self._size_id)
        self.refresh_actions()

    def show_mesh(self, size_id: int, mesh: Mesh, words: str) -> None:
        """The model of the size that is shown."""
        line = self.card.line
        if line is not None and line.size.id == size_id:
            self.card.show_mesh(mesh, words)

    def ask_pattern(self, pattern: Pattern | None, materials: tuple[Material, ...]) -> None:
        """A pattern to fill in."""
        panel = PatternPanel(pattern, materials)
        panel.told.connect(self._presenter.keep_pattern)
        self._ask(panel)

    def show_refusal(self, error: ShopError) -> None:
        """Why it was refused, above the buttons; what was typed stays."""
        if self._question is not None and self._question.isVisible():
            self._question.set_error(str(error))
        else:
            self._here.messages.problem(error)

    def close_question(self) -> None:
        """The question is answered."""
        while isinstance(self.standing_over, AskPanel):
            self.standing_over.lay_down()
        self._question = None

    def _ask(self, panel: AskPanel) -> None:
        self._question = panel
        panel.open_over(self)

    def _request(self) -> None:
        line = self.card.line
        if line is not None:
            self._presenter.request_this(line)

    def _has_size(self) -> bool:
        return hasattr(self, "card") and self.card.line is not None

    def _ask_change(self) -> None:
        if self._page is not None:
            self._presenter.ask_change(self._page.pattern)

    def _ask_size(self, size: Size | None = None) -> None:
        if self._page is not None:
            panel = SizePanel(size or Size(pattern_id=self._page.pattern.id, name=""))
            panel.told.connect(self._presenter.keep_size)
            self._ask(panel)

    def _ask_about_size(self) -> None:
        line = self.card.line
        if line is None:
            return
        panel = AskPanel(
            f"Size {line.name}", sentence=f"{line.extents}, revision {line.revision}".strip(" ,")
        )
        for words, icon, call in (
            ("Change name, spares or limit", "pencil", lambda: self._ask_size(line.size)),
            ("A new model file", "open", lambda: self._ask_revision(line)),
            ("Turn it on the platform", "turn_right", lambda: self._ask_turn(line)),
            ("Take it out of the book", "close", lambda: self._presenter.take_out(line)),
        ):
            button = Button(words, icon=icon)
            button.clicked.connect(lambda _down=False, one=call: self._instead(panel, one))
            panel.body.addWidget(button)
        self._ask(panel)

    def _instead(self, panel: AskPanel, call: object) -> None:
        panel.lay_down()
        if callable(call):
            call()

    def _ask_revision(self, line: SizeLine) -> None:
        panel = RevisionPanel(line)
        panel.told.connect(lambda given: self._presenter.give_revision(line, given))
        self._ask(panel)

    def _ask_turn(self, line: SizeLine) -> None:
        panel = TurnPanel(line)
        panel.told.connect(lambda turn: self._presenter.turn(line, turn))
        self._ask(panel)

    def _on_chosen(self) -> None:
        row = self.table.chosen
        self._presenter.show(row.pattern.id if row is not None else None)

    def _on_size(self, line: SizeLine | None) -> None:
        self._size_id = line.size.id if line is not None else None
        self.refresh_actions()
        if line is not None:
            self._presenter.show_model(line)

    def _on_width(self, wide: bool) -> None:
        self.card.setFixedWidth(SIDE_WIDE if wide else SIDE_NARROW)
        self.card.set_wide(wide)
        self.table.set_columns(pattern_columns(wide))
