"""A picture on the page: a photo of a failed copy, a sheet of the report as it prints."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QImage, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QSizePolicy, QWidget

from printcrib.screens.parts import lettering, strokes
from printcrib.screens.parts.tokens import RADIUS, current_tokens


class PictureView(QWidget):
    """Shows a picture fitted into its room, never stretched.

    Args:
        says: what is on it, for a screen reader. empty: said when there is no picture.
        frame: a hairline and the well's ground around it (photos); False for report pages.
    """

    def __init__(
        self, says: str, *, empty: str = "No picture", frame: bool = True, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName(says)
        self._empty, self._frame = empty, frame
        self._image: QImage | None = None
        self._fitted: QPixmap | None = None
        self.setMinimumSize(120, 90)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def set_picture(self, content: bytes | None) -> bool:
        """Show PNG, JPEG or WebP bytes; False when they are no picture."""
        image = QImage.fromData(content) if content else QImage()
        self._image = None if image.isNull() else image
        self._fitted = None
        self.update()
        return self._image is not None

    def sizeHint(self) -> QSize:
        return QSize(320, 240)

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._frame or self._image is None:
            strokes.box(painter, QRectF(self.rect()), RADIUS, tokens.well, strokes.pen(tokens.line, 1))
        if self._image is None:
            painter.setFont(lettering.font())
            painter.setPen(tokens.ink2)
            flags = Qt.AlignmentFlag.AlignCenter.value | Qt.TextFlag.TextWordWrap.value
            painter.drawText(self.rect().adjusted(12, 8, -12, -8), flags, self._empty)
        else:
            fitted = self._fit(self._image)
            ratio = fitted.devicePixelRatio()
            left = (self.width() - fitted.width() / ratio) / 2
            top = (self.height() - fitted.height() / ratio) / 2
            painter.drawPixmap(round(left), round(top), fitted)
        painter.end()

    def _fit(self, image: QImage) -> QPixmap:
        """The picture scaled once for this size."""
        ratio = self.devicePixelRatioF()
        room = QSize(round(self.width() * ratio), round(self.height() * ratio))
        if self._fitted is None or self._fitted.size() != image.size().scaled(
            room, Qt.AspectRatioMode.KeepAspectRatio
        ):
            scaled = image.scaled(
                room, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation
            )
            self._fitted = QPixmap.fromImage(scaled)
            self._fitted.setDevicePixelRatio(ratio)
        return self._fitted
