"""The cards of one request's page: its model, what holds it, safety, copies, promises, history."""

from collections.abc import Callable, Sequence
from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from printcrib.core.consequences import consequence_of
from printcrib.core.safety import LAST_WORD
from printcrib.core.shapes import Mesh
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import Card, FactRow, Hairline, emptied
from printcrib.screens.parts.fields import Field
from printcrib.screens.parts.marks import IconMark
from printcrib.screens.parts.model_view import ModelPanel
from printcrib.screens.parts.picture import PictureView
from printcrib.screens.parts.really_at import ReallyAt
from printcrib.screens.parts.tokens import Tone
from printcrib.screens.parts.words import Words
from printcrib.screens.requests.model import copies_words
from printcrib.screens.requests.one_acts import ENDS, WORDS, copy_acts, copy_words, not_for_use
from printcrib.services.look_at_request import CopyLine, RequestPage
from printcrib.services.tell_history import HistoryLine

FIRST_COPIES = 12
HARMLESS = frozenset({"hollow", "small_holes", "few_wrong_faces"})
"""Findings that ask nothing of anybody."""
FIRST_HISTORY = 8


class ModelSection(Card):
    """The model with what was found and the presses that mend it, or the words and the photo.

    Signals:
        mended(object): the Mend that was pressed.
    """

    mended = Signal(object)

    def __init__(self) -> None:
        super().__init__(padding=16, spacing=8)
        self.panel = ModelPanel()
        self.panel.setMinimumHeight(236)
        self.photo = PictureView("photo")
        self.photo.setMinimumHeight(200)
        self._name = Words("", weight="strong", elide=True)
        self._words = Words("", wrap=True)
        self._lines = QVBoxLayout()
        self._lines.setSpacing(6)
        self.add(self.photo, self.panel, self._name, self._words)
        self.body.addLayout(self._lines)
        self.photo.hide()

    def show_page(self, page: RequestPage) -> None:
        """Name, size and findings."""
        emptied(self._lines)
        self.panel.setVisible(page.model is not None)
        self._name.setVisible(page.model is not None)
        self._words.setText(page.request.words)
        self._words.setVisible(bool(page.request.words))
        if page.model is None:
            self._lines.addWidget(line_with_icon("caution", "It waits for its model.", "signal"))
            return
        self._name.setText(f"Revision {page.model.revision}, {page.model.model.file_name}")
        if not page.model.findings:
            self._lines.addWidget(line_with_icon("done", f"Sound, {page.model.size}", "second"))
        else:
            self._lines.addWidget(Words(page.model.size, tone="second", wrap=True))
        for code, words in page.model.model.findings:
            fine = code in HARMLESS
            self._lines.addWidget(
                line_with_icon("done" if fine else "problem", words, "second" if fine else "ink")
            )
        if page.model.made_by:
            self._lines.addWidget(line_with_icon("done", f"{_capital(page.model.made_by)}.", "second"))
        for mend in page.model.mends:
            button = Button(mend.value)
            button.clicked.connect(lambda _down=False, one=mend: self.mended.emit(one))
            self._lines.addWidget(button)

    def show_mesh(self, mesh: Mesh | None, waiting: str) -> None:
        """The picture."""
        if mesh is None:
            self.panel.view.clear(waiting or "No model yet")
            return
        heights = mesh.vertices[:, 2]
        self.panel.view.set_model(mesh.vertices, mesh.faces, f"{heights.max() - heights.min():.0f} mm")

    def show_photo(self, content: bytes | None) -> None:
        """The photo that came with it."""
        self.photo.setVisible(self.photo.set_picture(content))


class Section(Card):
    """A titled card that is filled anew from each reading."""

    def __init__(self, title: str) -> None:
        super().__init__(padding=20, title=title, spacing=8)
        self.setAccessibleName(title)  # the same act may stand in two of them
        self._inside = QVBoxLayout()
        self._inside.setSpacing(8)
        self.body.addLayout(self._inside)

    def refill(self, widgets: Sequence[QWidget]) -> None:
        """Show these instead; nothing at all hides the card."""
        emptied(self._inside)
        for widget in widgets:
            self._inside.addWidget(widget)
        self.setVisible(bool(widgets))


class AskedSection(Section):
    """What was asked, in facts."""

    def __init__(self) -> None:
        super().__init__("What is asked")

    def show_page(self, page: RequestPage) -> None:
        """The facts that were given."""
        row, request = page.row, page.request
        labels = ", ".join(request.labels)
        urgent = {2: "important", 5: "rush"}.get(request.weight, "")
        facts = (
            ("How many", f"{copies_words(row)}{f': {labels}' if labels else ''}"),
            ("For", row.purpose),
            ("Needed by", row.needed_words or "not said"),
            ("Made of", row.material or "not said yet"),
            ("How fine", row.how_fine),
            ("Machine", row.machine),
            ("Job", row.job),
            ("Scale", f"{request.scale * 100:g} %" if request.scale != 1.0 else ""),
            ("It touches", request.touches),
            ("Critical sizes", request.critical_sizes),
            ("Why so soon", request.reason),
            ("How urgent", urgent),
            ("Sent back", request.sent_back_reason),
        )
        self.refill([FactRow(name, value) for name, value in facts if value])


class HoldSection(Section):
    """What holds it, who said so and since when.

    Signals:
        answered(str): the act that answers a hold.
    """

    answered = Signal(str)

    def __init__(self) -> None:
        super().__init__("What holds it")

    def show_page(self, page: RequestPage, acts: Sequence[str]) -> None:
        """One line a hold, with the press that ends it where the person has it."""
        answers = {
            "needs a model": "model",
            "question open": "close question",
            "review open": "release",
            "needs the safety answers": "answer safety",
        }
        lines: list[QWidget] = []
        for hold in page.holds:
            act = answers.get(hold.hold.kind.value, "")
            lines.append(self._line(hold.words, f"{hold.who}, {hold.when}", act if act in acts else ""))
        if page.missing and page.request.state.value == "raised" and not page.holds:
            lines.append(self._line(page.missing, "before it is accepted", ""))
        self.refill(lines)

    def _line(self, words: str, who: str, act: str) -> QWidget:
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(12)
        row.addWidget(IconMark("caution", "signal"), 0, Qt.AlignmentFlag.AlignTop)
        texts = QVBoxLayout()
        texts.setSpacing(0)
        texts.addWidget(Words(words, tone="signal", weight="medium", wrap=True))
        texts.addWidget(Words(who, tone="second", wrap=True))
        row.addLayout(texts, 1)
        if act:
            button = Button(WORDS[act])
            button.clicked.connect(lambda: self.answered.emit(act))
            row.addWidget(button)
        return holder


class SafetySection(Section):
    """The safety answers, what they come to, the release and the cautions."""

    def __init__(self) -> None:
        super().__init__("Will it do any of these, or might it?")

    def show_page(self, page: RequestPage) -> None:
        """Answers first, then the consequence, then the cautions."""
        pattern = page.pattern.safety_answers if page.pattern else None
        due = consequence_of(page.request.purpose, page.request.safety_answers, pattern)
        answered = page.request.safety_answers is not None
        lines: list[QWidget] = [Words(_capital(page.safety), weight="strong", wrap=True)]
        if page.release:
            lines.append(line_with_icon("done", _capital(page.release), "ink"))
        elif answered or due.holds:
            lines.append(Words(due.words, tone="signal" if due.holds else "ink", weight="medium", wrap=True))
            further = due.further.removesuffix(LAST_WORD).strip() if page.cautions else due.further
            if further:
                lines.append(Words(further, wrap=True))
        if page.cautions:
            lines.append(Hairline())
            lines += [Words(caution.words, tone="second", wrap=True) for caution in page.cautions]
            lines.append(Words(LAST_WORD, weight="medium", wrap=True))
        self.refill(lines)


class CopiesSection(Section):
    """Every copy with how far it is and what can be done with it.

    Signals:
        pressed(str, int): act and copy key.
    """

    pressed = Signal(str, int)

    def __init__(self) -> None:
        super().__init__("Copies")
        self._all_of: int | None = None

    def show_page(self, page: RequestPage) -> None:
        """The first dozen; the rest by a press."""
        whole = self._all_of == page.request.id
        shown = page.copies if whole else page.copies[:FIRST_COPIES]
        lines: list[QWidget] = [self._line(page, line) for line in shown]
        if not_for_use(page) and lines:
            lines.insert(0, Words('Marked "not for use".', tone="signal", weight="medium"))
        left = len(page.copies) - len(shown)
        if left:
            more = Button(f"Show {left} more", icon="down")
            more.clicked.connect(lambda: self._show_all(page))
            lines.append(more)
        self.set_title(f"Copies, {page.row.ready} of {page.row.quantity} ready")
        self.refill(lines)

    def _show_all(self, page: RequestPage) -> None:
        self._all_of = page.request.id
        self.show_page(page)

    def _line(self, page: RequestPage, line: CopyLine) -> QWidget:
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(12)
        texts = QVBoxLayout()
        texts.setSpacing(0)
        name = f"{line.tag}  {line.label}".strip()
        texts.addWidget(Words(name, weight="strong", wrap=True))
        texts.addWidget(Words(copy_words(page, line), tone="second", wrap=True))
        row.addLayout(texts, 1)
        for act in copy_acts(page, line):
            button = Button(act.words, says=f"{act.words}: {line.tag}")
            button.clicked.connect(
                lambda _down=False, one=act.id, key=line.copy.id: self.pressed.emit(one, key)
            )
            row.addWidget(button)
        holder.setMinimumHeight(58)
        return holder


class PromiseSection(Section):
    """What was said to whom, and whether it was kept."""

    def __init__(self) -> None:
        super().__init__("Promises")

    def show_page(self, page: RequestPage) -> None:
        """One line a promise."""
        lines = []
        for line in page.promises:
            outcome = line.outcome or "open"
            tone: Tone = "signal" if line.promise.outcome == "not kept" else "second"
            lines.append(two_lines(_capital(line.words), outcome, tone))
        self.refill(lines)


class HistorySection(Section):
    """What happened, newest first."""

    def __init__(self) -> None:
        super().__init__("History")
        self._all_of: int | None = None

    def show_page(self, page: RequestPage) -> None:
        """The last few presses; the rest by a press."""
        whole = self._all_of == page.request.id
        shown = page.history if whole else page.history[:FIRST_HISTORY]
        lines: list[QWidget] = [_history_line(line) for line in shown]
        left = len(page.history) - len(shown)
        if left:
            more = Button(f"Show {left} earlier", icon="down")
            more.clicked.connect(lambda: self._show_all(page))
            lines.append(more)
        self.refill(lines)

    def _show_all(self, page: RequestPage) -> None:
        self._all_of = page.request.id
        self.show_page(page)


class ActsCard(Card):
    """Everything the person may do with it, beside the main button; and when it was really done.

    Args:
        now: the shop's wall time.

    Signals:
        pressed(str): id of the act.
    """

    pressed = Signal(str)

    def __init__(self, now: Callable[[], datetime]) -> None:
        super().__init__(padding=16, spacing=12)
        self.buttons: dict[str, Button] = {}
        self._across = 1
        self._shown: tuple[Sequence[str], str] = ((), "")
        self.really_at = ReallyAt(now)
        self.really_at.button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.body.addWidget(Field("When it was really done", self.really_at))
        self._grid = QGridLayout()
        self._grid.setSpacing(12)
        self.body.addLayout(self._grid)

    def set_columns(self, columns: int) -> None:
        """How many buttons stand beside each other."""
        self._across = columns
        self.show_acts(*self._shown)

    def show_acts(self, acts: Sequence[str], main: str) -> None:
        """Offer these; the main one has its button above."""
        self._shown = (acts, main)
        focused = next((act for act, button in self.buttons.items() if button.hasFocus()), "")
        emptied(self._grid)
        self.buttons = {}
        across = self._across
        plain = [act for act in acts if act != main and act not in ENDS]
        ends = [act for act in acts if act in ENDS]
        for index, act in enumerate(plain):
            self._grid.addWidget(self._button(act), index // across, index % across)
        row = -(-len(plain) // across)
        if ends:
            gap = QWidget()
            gap.setFixedHeight(24)
            self._grid.addWidget(gap, row, 0)
        for index, act in enumerate(ends):
            self._grid.addWidget(self._button(act), row + 1 + index // across, index % across)
        self.setVisible(bool(self.buttons))
        if focused in self.buttons:
            self.buttons[focused].setFocus(Qt.FocusReason.OtherFocusReason)

    def _button(self, act: str) -> Button:
        button = Button(WORDS[act])
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        button.clicked.connect(lambda: self.pressed.emit(act))
        self.buttons[act] = button
        return button


def line_with_icon(icon: str, words: str, tone: Tone) -> QWidget:
    """Words with an icon before them."""
    holder = QWidget()
    row = QHBoxLayout(holder)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(10)
    row.addWidget(IconMark(icon, tone), 0, Qt.AlignmentFlag.AlignTop)
    row.addWidget(Words(words, tone=tone, wrap=True), 1)
    return holder


def two_lines(first: str, second: str, tone: Tone = "second") -> QWidget:
    """A strong line with a lighter one below."""
    holder = QWidget()
    column = QVBoxLayout(holder)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(0)
    column.addWidget(Words(first, weight="medium", wrap=True))
    column.addWidget(Words(second, tone=tone, wrap=True))
    return holder


def _history_line(line: HistoryLine) -> QWidget:
    words = f": {line.words}" if line.words else ""
    return two_lines(f"{_capital(line.verb)}{words}", f"{line.who}, {line.when}")


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
