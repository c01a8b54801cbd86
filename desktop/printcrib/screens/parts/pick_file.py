"""Choosing a file on this PC: a model, a picture."""

from PySide6.QtWidgets import QFileDialog, QWidget

MODEL_FILES = "Model files (*.stl *.3mf *.obj *.STL *.3MF *.OBJ)"
PICTURES = "Pictures (*.jpg *.jpeg *.png *.webp *.JPG *.JPEG *.PNG)"


def ask_path(parent: QWidget, title: str, endings: str) -> str:
    """Let somebody choose a file on this PC; "" when nothing was chosen."""
    path, _ = QFileDialog.getOpenFileName(
        parent, title, "", endings, options=QFileDialog.Option.DontUseNativeDialog
    )
    return path
