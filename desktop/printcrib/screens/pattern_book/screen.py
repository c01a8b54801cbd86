"""The place "Pattern book": the shop's own standard aids, their sizes, models and releases."""

from collections.abc import Callable, Mapping
from typing import Any

from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QWidget

from printcrib.core.errors import ShopError
from printcrib.core.patterns import Pattern, Size
from printcrib.core.shapes import Mesh
from printcrib.screens.parts.actions import Action
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.fields import TextField
from printcrib.screens.parts.page import PageFrame, column_of, row_of
from printcrib.screens.parts.record_table import RecordTable
from printcrib.screens.pattern_book.columns import pattern_columns, pattern_model
from printcrib.screens.pattern_book.drafts import drafts_from, drafts_text
from printcrib.screens.pattern_book.edits import BookEdits, Choices
from printcrib.screens.pattern_book.file_field import FileField, dropped
from printcrib.screens.pattern_book.form_panel import FormPanel
from printcrib.screens.pattern_book.given_file import GivenFile
from printcrib.screens.pattern_book.model_panels import RevisionPanel, TurnPanel
from printcrib.screens.pattern_book.pattern_card import PatternCard
from printcrib.screens.pattern_book.pattern_panel import PatternPanel
from printcrib.screens.pattern_book.presenter import BookPresenter
from printcrib.screens.pattern_book.size_acts import SizeActs
from printcrib.screens.pattern_book.size_panel import SizePanel
from printcrib.screens.pattern_book.words import subtitle_of
from printcrib.screens.shell.standing import Standing
from printcrib.services.answer_form import FormModel
from printcrib.services.look_at_one_offs import OutsideLine
from printcrib.services.look_at_patterns import PatternPage, PatternRow, SizeLine

LIST_NARROW, LIST_WIDE = 384, 750


class PatternBookPage(PageFrame):
    """The list on the left, the chosen pattern on the right, "Request this" on top."""

    def __init__(self, standing: Standing) -> None:
        super().__init__(
            "Pattern book",
            main=Action("request", "Request this", self._request, "requests", "Ctrl+Return", self._has_size),
            others=[Action("new", "A new pattern", lambda: self.edits.ask_pattern(), "plus", "Ctrl+N")],
            unseen=[Action("find", "Find a pattern", lambda: self.search.setFocus(), None, "Ctrl+F")],
        )
        self._here = standing
        self.presenter, self.edits = BookPresenter(standing, self), BookEdits(standing, self)
        self._page: PatternPage | None = None
        self._dropped = ""
        self.setAcceptDrops(True)
        self.search = TextField(says="Find a pattern or size", example="Find by name, size or what it does")
        self.table: RecordTable[PatternRow] = RecordTable(pattern_model(self.wide), says="patterns")
        self.card = PatternCard(
            [
                ("size", "Add a size", self._ask_size),
                ("model", "Change this size", self._ask_about_size),
                ("pattern", "Change the pattern", self._ask_change),
            ]
        )
        self._list = QWidget()
        self._list.setLayout(column_of(self.search, self.table, spacing=12))
        self.body.addLayout(row_of(self._list, self.card, spacing=16, stretch=(0, 1)), 1)
        self._connect()

    def arrived(self) -> None:
        """The place came to the front."""
        self.presenter.load()

    def refresh(self, things: frozenset[str]) -> None:
        """Read the book again when something in it changed."""
        if self.isVisible() and self.presenter.concerns(things):
            self.presenter.load()

    def go_to(self, key: int) -> None:
        """Choose one pattern, whatever the list was narrowed to."""
        self.presenter.chosen = key
        self.presenter.size_id = None
        self.search.blockSignals(True)
        self.search.clear()
        self.search.blockSignals(False)
        self.presenter.search("")

    def kept_state(self) -> Mapping[str, str]:
        """Which pattern and size were chosen, what the list was narrowed to, and what was half filled in."""
        self._keep_draft()
        return {
            "chosen": str(self.presenter.chosen or ""),
            "size": str(self.presenter.size_id or ""),
            "search": self.search.text(),
            "drafts": drafts_text(self.edits.drafts),
        }

    def restore_state(self, state: Mapping[str, str]) -> None:
        """Go back to it."""
        chosen, size = state.get("chosen", ""), state.get("size", "")
        self.edits.drafts = drafts_from(state.get("drafts", ""))
        self.search.setText(state.get("search", ""))
        self.presenter.chosen = int(chosen) if chosen.isdigit() else None
        self.presenter.size_id = int(size) if size.isdigit() else None

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if event.mimeData().hasUrls():
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """A model file dropped anywhere: into the question that stands there, else as a new size."""
        paths = dropped(event)
        if paths:
            event.acceptProposedAction()
            self.take(paths[0])

    def take(self, path: str) -> None:
        """Take a file that was dropped."""
        panel = self.standing_over
        if isinstance(panel, SizePanel) and not panel.base.id:
            panel.begin_with(path)
        elif isinstance(panel, RevisionPanel):
            panel.file.take(path)
        elif panel is None and self._page is not None:
            self._dropped = path
            self._ask_size()

    # What the presenters show.

    def show_patterns(self, rows: tuple[PatternRow, ...], chosen: int | None) -> None:
        """The book's list."""
        looked_for = self.search.text().strip()
        self.set_subtitle(subtitle_of(rows, looked_for))
        self.table.set_empty_words(
            f'Nothing in the book has "{looked_for}". Type less, or press "A new pattern".'
            if looked_for
            else 'The book is empty. Press "A new pattern" to begin it.'
        )
        self.table.blockSignals(True)
        self.table.set_records(rows)
        if chosen is not None:
            self.table.choose(chosen)
        self.table.blockSignals(False)

    def show_pattern(self, page: PatternPage | None, size_id: int | None) -> None:
        """One pattern in full."""
        self._page = page
        self.card.show_pattern(page, size_id)
        self.refresh_actions()

    def show_mesh(self, size_id: int, mesh: Mesh, height: str) -> None:
        """The model of the size that is shown."""
        self.card.show_mesh(mesh, height)

    def show_kept(self, pattern_id: int, size_id: int | None) -> None:
        """The question is answered; show what was kept."""
        self.close_question()
        self.presenter.chosen = pattern_id
        self.presenter.size_id = size_id or self.presenter.size_id
        self.presenter.load()

    def ask_pattern(self, pattern: Pattern, begun: Mapping[str, Any], choices: Choices) -> None:
        """A pattern to fill in."""
        panel = PatternPanel(pattern, begun, choices)
        panel.told.connect(self.edits.keep_pattern)
        self._open(panel)

    def ask_size(self, size: Size, begun: Mapping[str, Any], outside: tuple[OutsideLine, ...]) -> None:
        """A size to fill in."""
        panel = SizePanel(size, begun, outside)
        panel.told.connect(self.edits.keep_size)
        self._open(panel, panel.file)
        if self._dropped:
            panel.begin_with(self._dropped)
            self._dropped = ""

    def show_file(self, given: GivenFile, read: FormModel) -> None:
        """What was found in a file that was chosen."""
        for field in self._file_fields():
            field.show_file(given, read)

    def refuse_file(self, given: GivenFile, error: ShopError) -> None:
        """Why a file cannot be read."""
        for field in self._file_fields():
            field.refuse(given, error)

    def show_turn(self, turn: int, mesh: Mesh, height: str, words: str) -> None:
        """A model in another turn."""
        panel = self.standing_over
        if isinstance(panel, TurnPanel):
            panel.show_turn(turn, mesh, height, words)

    def show_refusal(self, error: ShopError) -> None:
        """Why it was refused, above the buttons; what was typed stays."""
        panel = self.standing_over
        if isinstance(panel, AskPanel):
            panel.set_error(str(error))
        else:
            self._here.messages.problem(error)

    def show_changed(self, fresh: Pattern | Size, sentence: str) -> None:
        """Somebody else was first: what was typed stands over the new values."""
        panel = self.standing_over
        if isinstance(panel, FormPanel) and type(panel.base) is type(fresh):
            panel.rebase(fresh)
        self.show_refusal(ShopError(sentence.removesuffix(".")))

    def close_question(self) -> None:
        """The question is answered."""
        while isinstance(self.standing_over, AskPanel):
            self.standing_over.lay_down()

    # What a person does.

    def _request(self) -> None:
        line = self.card.line
        if line is not None:
            self.presenter.request_this(line)

    def _has_size(self) -> bool:
        return hasattr(self, "card") and self.card.line is not None

    def _ask_change(self) -> None:
        if self._page is not None:
            self.edits.ask_pattern(self._page.pattern)

    def _ask_size(self) -> None:
        if self._page is not None:
            self.edits.ask_size(Size(pattern_id=self._page.pattern.id, name=""))

    def _ask_about_size(self) -> None:
        line = self.card.line
        if line is not None:
            acts: list[tuple[str, str, Callable[[], None]]] = [
                ("Its name, spares or limit", "pencil", lambda: self.edits.ask_size(line.size)),
                ("A new model file", "open", lambda: self._ask_revision(line)),
                ("Turn it on the platform", "turn_right", lambda: self._ask_turn(line)),
                ("Take it out of the book", "close", lambda: self.edits.take_out(line)),
            ]
            self._open(SizeActs(line, acts))

    def _ask_revision(self, line: SizeLine) -> None:
        panel = RevisionPanel(line)
        panel.told.connect(lambda given: self.edits.give_revision(line, given))
        self._open(panel, panel.file)

    def _ask_turn(self, line: SizeLine) -> None:
        panel = TurnPanel(line)
        panel.looked_at.connect(lambda turn: self.edits.look_at_turn(line, turn))
        panel.told.connect(lambda turn: self.edits.turn(line, turn))
        self._open(panel)
        panel.look()

    def _open(self, panel: AskPanel, file: FileField | None = None) -> None:
        panel.backed.connect(lambda: self._keep_draft(panel))
        panel.open_over(self)
        if file is not None:
            file.wanted.connect(self.edits.read)
            given = file.given
            if given is not None:
                self.edits.read(given)

    def _keep_draft(self, panel: QWidget | None = None) -> None:
        """What was typed and not kept stays for the next time, also over a restart."""
        asked = panel or self.standing_over
        if isinstance(asked, PatternPanel):
            self.edits.keep_draft(asked.base, asked.filled())
        elif isinstance(asked, SizePanel):
            self.edits.keep_draft(asked.base, asked.filled(), asked.file.given)

    def _file_fields(self) -> list[FileField]:
        panel = self.standing_over
        return panel.findChildren(FileField) if panel is not None else []

    def _connect(self) -> None:
        self.search.textChanged.connect(self.presenter.search)
        self.table.chosen_changed.connect(lambda _row: self._on_chosen())
        self.table.opened.connect(lambda _row: self._ask_change())
        self.card.size_chosen.connect(self._on_size)
        self.width_changed.connect(self._on_width)
        self._on_width(self.wide)

    def _on_chosen(self) -> None:
        row = self.table.chosen
        self.presenter.show(row.pattern.id if row is not None else None)

    def _on_size(self, line: SizeLine | None) -> None:
        self.presenter.show_size(line)
        self.refresh_actions()

    def _on_width(self, wide: bool) -> None:
        self._list.setFixedWidth(LIST_WIDE if wide else LIST_NARROW)
        self.card.set_wide(wide)
        self.table.set_columns(pattern_columns(wide))
