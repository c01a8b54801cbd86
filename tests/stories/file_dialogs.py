"""The file dialog that opens while somebody presses: it is answered, or that is a fault."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QDialog, QFileDialog, QListView
from tests.stories.station import labels_in, plain

MOST_LOOKS, ANSWERED = 250, 1_000
"""So many looks at a file dialog until its files are there; it counts as answered from then on."""


@contextmanager
def answering(path: Path, answer: Callable[[QFileDialog], None]) -> Iterator[None]:
    """Answer the one file dialog that opens meanwhile; one left unanswered is closed, and that is a fault.

    A dialog for opening begins in the file's folder, not where another story of the same process was last.
    """
    faults: list[str] = ["no file dialog opened"]
    looks = 0

    def close(dialog: QDialog) -> None:
        said = [plain(label.text()) for label in labels_in(dialog)]
        faults.append(f"{dialog.windowTitle()} stays open: {said}")
        dialog.reject()

    def look() -> None:  # also while keys are pressed: they let timers go on
        nonlocal looks
        dialog = QApplication.activeModalWidget()
        if not isinstance(dialog, QFileDialog):
            if isinstance(dialog, QDialog):  # it does not take the answer
                close(dialog)
            return
        looks += 1
        opens = dialog.acceptMode() == QFileDialog.AcceptMode.AcceptOpen
        if opens and looks == 1:
            dialog.setDirectory(str(path.parent))
        elif looks < ANSWERED and (not opens or path.name in files_in(dialog) or looks > MOST_LOOKS):
            looks = ANSWERED
            faults.clear()
            answer(dialog)
            if dialog.isVisible():
                close(dialog)

    timer = QTimer(interval=20)
    timer.timeout.connect(look)
    timer.start()
    yield
    timer.stop()
    assert not faults, faults[0]


def files_in(dialog: QFileDialog) -> list[str]:
    """Names of what is listed in the dialog now; a folder is read a moment after it is opened."""
    view = listing(dialog)
    model, root = view.model(), view.rootIndex()
    return [str(model.index(row, 0, root).data()) for row in range(model.rowCount(root))]


def listing(dialog: QFileDialog) -> QListView:
    """The dialog's list of files."""
    return next(view for view in dialog.findChildren(QListView) if view.objectName() == "listView")
