"""A file dropped on a part of the window, beside the button that chooses one."""

from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QWidget


class FileDrop(QObject):
    """Lets a file be dropped on a widget.

    Signals:
        dropped(str): its path on this PC.
    """

    dropped = Signal(str)

    def __init__(self, on: QWidget) -> None:
        super().__init__(on)
        on.setAcceptDrops(True)
        on.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        if isinstance(event, QDropEvent) and event.type() in (QEvent.Type.DragEnter, QEvent.Type.Drop):
            paths = [url.toLocalFile() for url in event.mimeData().urls() if url.isLocalFile()]
            if paths:
                event.acceptProposedAction()
                if event.type() is QEvent.Type.Drop:
                    self.dropped.emit(paths[0])
                return True
        return super().eventFilter(watched, event)
