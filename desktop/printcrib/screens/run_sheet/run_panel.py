"""One run in full: its copies, what it takes, its files, and the way to the Desk."""

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QVBoxLayout

from printcrib.core.runs import RunState
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.cards import FactRow, Hairline
from printcrib.screens.parts.file_drop import FileDrop
from printcrib.screens.parts.pick_file import PRINT_FILES, ask_path
from printcrib.screens.parts.tokens import GAP_PX
from printcrib.screens.parts.words import Words
from printcrib.screens.run_sheet.words import ListRow
from printcrib.services.give_print_file import RunFile
from printcrib.services.look_at_run import RunCopy, RunPage

MOST_COPIES = 60


class RunPanel(AskPanel):
    """A run of the sheet.

    Signals:
        led_to(str, int): place and record. one_file_wanted(), folder_wanted(): its files.
        print_file_given(str): the path of the file it is printed from.
        print_file_taken(object): the RunFile that was read, by a press after its doubts.
    """

    led_to = Signal(str, int)
    one_file_wanted = Signal()
    folder_wanted = Signal()
    print_file_given = Signal(str)
    print_file_taken = Signal(object)

    def __init__(self, page: RunPage, row: ListRow) -> None:
        super().__init__(page.title, sentence=row.why, width=1040, stays=True)
        self.buttons: dict[str, Button] = {}
        self._lay_acts(page)
        self._file: RunFile | None = None
        if page.run.state is RunState.STARTED and page.copies:
            self._lay_print_file()
        facts = QGridLayout()
        facts.setHorizontalSpacing(32)
        facts.setVerticalSpacing(0)
        for index, (name, value) in enumerate(facts_of(page, row)):
            facts.addWidget(FactRow(name, value), index // 2, index % 2)
        for column in (0, 1):
            facts.setColumnStretch(column, 1)
        self.body.addLayout(facts)
        count = len(page.copies)
        heading = "No copies on it" if not count else "1 copy" if count == 1 else f"{count} copies"
        self.body.addWidget(Words(heading, weight="strong"))
        for copy in page.copies[:MOST_COPIES]:
            self._add_copy(copy)
        if count > MOST_COPIES:
            self.body.addWidget(Words(f"and {count - MOST_COPIES} more", tone="second"))
        self.body.addStretch(1)

    def _lay_acts(self, page: RunPage) -> None:
        run = page.run
        to_desk = "Start it at the Desk" if page.is_planned else "Take it off at the Desk"
        acts: list[tuple[str, str, Callable[[], None], bool]] = [
            (
                "desk",
                to_desk,
                lambda: self.led_to.emit("desk", run.printer_id),
                page.is_planned or page.on_printer,
            ),
            ("3mf", "Save as one file", lambda: self.one_file_wanted.emit(), bool(page.copies)),
            ("folder", "Save as a folder", lambda: self.folder_wanted.emit(), bool(page.copies)),
        ]
        row = QHBoxLayout()
        row.setSpacing(GAP_PX)
        for key, words, call, able in acts:
            button = Button(words, icon="desk" if key == "desk" else "save")
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.setEnabled(able)
            button.clicked.connect(lambda _down=False, do=call: do())
            self.buttons[key] = button
            row.addWidget(button)
        self.body.addLayout(row)

    def doubt_file(self, file: RunFile) -> None:
        """The print file does not look like that of this run: one more press takes it all the same."""
        self._file = file
        self.file_words.setText("\n".join((f"{file.name}: {file.words}.", *file.doubts)))
        self.file_words.set_tone("signal")
        self.file_button.set_words("Take it all the same")
        self.file_button.setFocus()

    def _lay_print_file(self) -> None:
        self.file_words = Words(
            "Choose its print file, or drop it here: minutes and grams are then its own.", wrap=True
        )
        self.file_button = Button("Print file", icon="open")
        self.file_button.clicked.connect(self._on_print_file)
        FileDrop(self).dropped.connect(self.print_file_given)
        row = QHBoxLayout()
        row.setSpacing(GAP_PX)
        row.addWidget(self.file_words, 1)
        row.addWidget(self.file_button)
        self.body.addLayout(row)

    def _on_print_file(self) -> None:
        """Take the one that is doubted, else ask for one."""
        if self._file is not None:
            self.print_file_taken.emit(self._file)
            return
        path = ask_path(self, "Choose the print file", PRINT_FILES)
        if path:
            self.print_file_given.emit(path)

    def _add_copy(self, copy: RunCopy) -> None:
        self.body.addWidget(Hairline())
        row = QHBoxLayout()
        row.setSpacing(16)
        texts = QVBoxLayout()
        texts.setSpacing(0)
        texts.addWidget(Words(f"{copy.tag} {copy.label}".strip(), weight="medium"))
        what = Words(f"{copy.name}, for {copy.asker}", tone="second", elide=True)
        what.setToolTip(what.text())
        texts.addWidget(what)
        row.addLayout(texts, 1)
        row.addWidget(Words(copy.words, tone="second"))
        tag = copy.tag.partition("/")[0]
        lead = Button(f"See {tag}", says=f"See {tag} of copy {copy.tag}")
        lead.clicked.connect(lambda _down=False: self.led_to.emit("requests", copy.request_id))
        self.buttons[copy.tag] = lead
        row.addWidget(lead)
        self.body.addLayout(row)


def facts_of(page: RunPage, row: ListRow) -> tuple[tuple[str, str], ...]:
    """What is known of a run, each with its name."""
    from_to = f"{row.starts} – {row.ends}" if row.ends else row.starts
    facts = [
        ("Printer", page.printer),
        ("From, to", from_to),
        ("Nozzle", page.bore),
        ("Material", page.material),
        ("Spool", ", then ".join(page.spools)),
        ("Needed by", f"{row.needed}, {row.spare}" if row.needed else ""),
        *page.took,
        ("Layout", page.layout),
    ]
    return tuple((name, value) for name, value in facts if value)
