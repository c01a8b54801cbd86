"""The model on the page: grey, with its edges, turned by mouse, keys or buttons."""

import contextlib
from dataclasses import replace
from functools import cache, partial
from itertools import count
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import (
    QObject,
    QPointF,
    QRectF,
    QSize,
    Qt,
    QThreadPool,
    QTimer,
    Signal,
    SignalInstance,
    Slot,
)
from PySide6.QtGui import (
    QFocusEvent,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QVBoxLayout, QWidget

from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.focus import FocusRing
from printcrib.screens.parts.tokens import GAP_PX, RADIUS, Tokens, current_tokens

if TYPE_CHECKING:
    from printcrib.screens.parts.raster import Floats, Ints, Seen, View

_FULL_FACES = 60_000
_TURN_FACES = 15_000
_STEP_DEG = 15.0
_REST_MS = 150
_HEIGHT_PX = 48
_SOON_FACES = 20_000
"""Models up to this are drawn finely at once; larger ones in a thread, after a quick picture."""


class _Post(QObject):
    """Brings fine pictures of large models from their threads to the views.

    There is one, and it outlives every view: a view that a thread let go last would be freed there, which
    ends the process.
    """

    drawn = Signal(object)


@cache
def _post() -> _Post:
    return _Post()


class ModelView(QWidget):
    """A model's picture.

    Keys: arrows turn, + and - zoom, Home as at first. The mouse turns by dragging, the wheel zooms; the
    buttons of ModelPanel do the same.
    """

    _numbers = count(1)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._number = next(self._numbers)
        self._mesh: tuple[Floats, Ints] | None = None
        self._quick: tuple[Floats, Ints] | None = None
        self._view: View | None = None
        self._picture: QImage | None = None
        self._painted_for: tuple[object, ...] = ()
        self._seen: Seen | None = None
        self._words = ""
        self._waiting = "No model yet"
        self._drag_from: QPointF | None = None
        self._turning = False
        self._fine: tuple[object, ...] = ()
        self._ring = FocusRing(self)
        self._rest = QTimer(self, singleShot=True, interval=_REST_MS)
        self._rest.timeout.connect(self._on_rest)
        _post().drawn.connect(self._on_drawn, Qt.ConnectionType.QueuedConnection)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("picture of the model")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(120, 120)

    def set_model(self, vertices: Any, faces: Any, height_words: str = "") -> None:
        """Show a model.

        Args:
            vertices: (n, 3) mm. faces: (m, 3) numbers of vertices. height_words: "60 mm", beside it.
        """
        import numpy as np

        from printcrib.screens.parts.raster import View, coarser

        whole = np.asarray(vertices, dtype=np.float64), np.asarray(faces, dtype=np.int64)
        self._mesh = coarser(*whole, 160) if len(whole[1]) > _FULL_FACES else whole
        self._quick = coarser(*whole, 40) if len(whole[1]) > _TURN_FACES else whole
        self._view = View()
        self._words = height_words
        self._turning = len(self._mesh[1]) > _SOON_FACES
        self._rest.start()
        self._forget()

    def clear(self, words: str = "No model yet") -> None:
        """Show no model, and say why."""
        self._mesh = self._quick = None
        self._waiting = words
        self._forget()

    def turn(self, across: float, up: float = 0.0) -> None:
        """Turn by degrees."""
        if self._view is not None:
            tilt = max(-90.0, min(90.0, self._view.tilt + up))
            self._look(replace(self._view, turn=self._view.turn + across, tilt=tilt))

    def zoom(self, factor: float) -> None:
        """Larger above 1, smaller below."""
        if self._view is not None:
            self._look(replace(self._view, zoom=max(0.4, min(8.0, self._view.zoom * factor))))

    def look_again(self) -> None:
        """As at first."""
        from printcrib.screens.parts.raster import View

        self._look(View())

    def sizeHint(self) -> QSize:
        return QSize(296, 240)

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        strokes.box(painter, QRectF(self.rect()), RADIUS, tokens.well)
        if self._mesh is None:
            painter.setFont(lettering.font())
            painter.setPen(tokens.ink2)
            flags = Qt.AlignmentFlag.AlignCenter.value | Qt.TextFlag.TextWordWrap.value
            painter.drawText(self.rect().adjusted(12, 12, -12, -12), flags, self._waiting)
        else:
            self._draw(tokens)
            if self._picture is not None:
                painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
                painter.drawImage(QRectF(QPointF(0, 0), self._room().toSizeF()), self._picture)
            self._paint_height(painter, tokens)
        self._ring.paint(painter, tokens.ink)
        painter.end()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._picture = None

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._ring.focused(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._drag_from = event.position()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._drag_from is not None:
            moved = event.position() - self._drag_from
            self._drag_from = event.position()
            self.turn(-moved.x() * 0.5, moved.y() * 0.5)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._drag_from = None

    def wheelEvent(self, event: QWheelEvent) -> None:
        self.zoom(1.15 if event.angleDelta().y() > 0 else 1 / 1.15)
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        turns = {
            Qt.Key.Key_Left: (_STEP_DEG, 0.0),
            Qt.Key.Key_Right: (-_STEP_DEG, 0.0),
            Qt.Key.Key_Up: (0.0, _STEP_DEG),
            Qt.Key.Key_Down: (0.0, -_STEP_DEG),
        }
        if event.key() in turns:
            self.turn(*turns[Qt.Key(event.key())])
        elif event.key() in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(1.25)
        elif event.key() == Qt.Key.Key_Minus:
            self.zoom(0.8)
        elif event.key() == Qt.Key.Key_Home:
            self.look_again()
        else:
            super().keyPressEvent(event)

    def _look(self, view: "View") -> None:
        self._view = view
        self._turning = True
        self._rest.start()
        self._forget()

    def _on_rest(self) -> None:
        if self._mesh is None or self._view is None:
            return
        if len(self._mesh[1]) <= _SOON_FACES:
            self._turning = False
            self.update()
            return
        fit = self._fit(current_tokens(), turning=False)
        if fit != self._fine:
            self._fine = fit
            dark = current_tokens().dark
            draw = partial(_draw_finely, _post().drawn, fit, self._mesh, self._view, self._room(), dark)
            QThreadPool.globalInstance().start(draw)

    @Slot(object)
    def _on_drawn(self, answer: tuple[tuple[object, ...], QImage, "Seen"]) -> None:
        """A fine picture came; it is shown when it is still the one wanted."""
        fit, picture, seen = answer
        if fit == self._fit(current_tokens(), turning=False):
            self._turning = False
            self._picture, self._seen, self._painted_for = picture, seen, fit
            self.update()

    def _fit(self, tokens: Tokens, turning: bool) -> tuple[object, ...]:
        """What a picture has to be drawn for to be shown here."""
        return self._number, self.width(), self.height(), tokens.dark, turning, self._view

    def _forget(self) -> None:
        self._picture = None
        self._fine = ()
        self.update()

    def _draw(self, tokens: Tokens) -> None:
        """Make the picture anew when model, view, size or theme changed."""
        fit = self._fit(tokens, self._turning)
        if self._picture is not None and fit == self._painted_for:
            return
        mesh = self._quick if self._turning else self._mesh
        if mesh is None or self._view is None or not len(mesh[1]):
            return
        if not self._turning and len(mesh[1]) > _SOON_FACES:
            self._turning = True  # another size or theme: a quick picture now, the fine one at rest
            self._rest.start()
            self._draw(tokens)
            return
        finer = 1 if self._turning else 2
        self._picture, self._seen = _drawn(mesh, self._view, self._room(), finer, tokens.dark)
        self._painted_for = fit

    def _room(self) -> QSize:
        """Where the model stands: what says its height stands beside it, never over it."""
        return QSize(self.width() - (_HEIGHT_PX if self._words else 0), self.height())

    def _paint_height(self, painter: QPainter, tokens: Tokens) -> None:
        if not self._words or self._seen is None or self._view is None or abs(self._view.tilt) > 60:
            return
        share = self.height() / self._seen.face.shape[0]
        top, bottom = sorted((self._seen.top_y * share, self._seen.bottom_y * share))
        x = min(self._seen.right_x * share + 16, self.width() - 34.0)
        painter.setPen(strokes.pen(tokens.ink, 1.6))
        painter.drawLine(QPointF(x, top), QPointF(x, bottom))
        for y in (top, bottom):
            painter.drawLine(QPointF(x - 6, y), QPointF(x + 6, y))
        painter.save()
        painter.setFont(lettering.font(weight="medium"))
        painter.translate(x + 18, (top + bottom) / 2)
        painter.rotate(-90)
        painter.drawText(QRectF(-80, -14, 160, 28), Qt.AlignmentFlag.AlignCenter, self._words)
        painter.restore()


def _drawn(
    mesh: "tuple[Floats, Ints]", view: "View", size: QSize, finer: int, dark: bool
) -> tuple[QImage, "Seen"]:
    """A model's picture, drawn so many times finer than the screen."""
    from printcrib.screens.parts import raster

    width, height = max(2, size.width() * finer), max(2, size.height() * finer)
    seen = raster.see(mesh[0], mesh[1], view, width, height)
    greys = (88.0, 236.0, 60.0) if dark else (112.0, 240.0, 58.0)
    return _image(raster.shade(seen, *greys), finer), seen


def _draw_finely(
    tell: SignalInstance,
    fit: tuple[object, ...],
    mesh: "tuple[Floats, Ints]",
    view: "View",
    size: QSize,
    dark: bool,
) -> None:
    """Draw in a thread; nobody is told when the program ends meanwhile."""
    picture, seen = _drawn(mesh, view, size, 2, dark)
    with contextlib.suppress(RuntimeError):
        tell.emit((fit, picture, seen))


def _image(grey_alpha: Any, finer: int) -> QImage:
    """Grey and alpha to an image, averaged down from the finer raster."""
    import numpy as np

    height, width = (n // finer for n in grey_alpha.shape[:2])
    cut = grey_alpha[: height * finer, : width * finer].astype(np.float32)
    alpha = cut[..., 1]
    grey = cut[..., 0] * (alpha / 255.0)
    blocks = (height, finer, width, finer)
    alpha, grey = (part.reshape(blocks).mean(axis=(1, 3)) for part in (alpha, grey))
    pixels = np.stack([grey, grey, grey, alpha], axis=-1).astype(np.uint8)  # premultiplied, B G R A
    image = QImage(pixels.tobytes(), width, height, width * 4, QImage.Format.Format_ARGB32_Premultiplied)
    return image.copy()


class ModelPanel(QWidget):
    """The model's picture with the buttons that turn it.

    Attributes:
        view: the ModelView.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.view = ModelView()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.view, 1)
        self._buttons: list[Button] = []
        self._grid = QGridLayout()
        self._grid.setSpacing(GAP_PX)
        for icon, says, across, up in (
            ("back", "turn left", _STEP_DEG * 2, 0.0),
            ("forward", "turn right", -_STEP_DEG * 2, 0.0),
            ("up", "from higher", 0.0, _STEP_DEG),
            ("down", "from lower", 0.0, -_STEP_DEG),
        ):
            button = Button("", kind="bare", icon=icon, says=says)
            button.clicked.connect(lambda _down=False, by=(across, up): self.view.turn(*by))
            self._buttons.append(button)
        for icon, says, factor in (("plus", "larger", 1.25), ("minus", "smaller", 0.8)):
            button = Button("", kind="bare", icon=icon, says=says)
            button.clicked.connect(lambda _down=False, by=factor: self.view.zoom(by))
            self._buttons.append(button)
        column.addLayout(self._grid)
        self.set_columns(len(self._buttons))

    def set_columns(self, columns: int) -> None:
        """How many buttons stand beside each other; three where the picture is narrow."""
        for at, button in enumerate(self._buttons):
            self._grid.removeWidget(button)
            self._grid.addWidget(button, at // columns, at % columns)
        for at in range(len(self._buttons) + 1):
            self._grid.setColumnStretch(at, 1 if at == columns == len(self._buttons) else 0)
