"""Choosing a file or a folder on this PC, with hands that wear gloves: Qt's own sheet in the shop's look."""

from pathlib import Path

from PySide6.QtCore import QSize
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QFileDialog, QListView, QSplitter, QToolButton, QWidget

from printcrib.screens.parts.icons import icon_pixmap
from printcrib.screens.parts.tokens import current_tokens

MODEL_FILES = "Model files (*.stl *.3mf *.obj *.step *.stp *.STL *.3MF *.OBJ *.STEP *.STP)"
PRINT_FILES = "Print files (*.nc *.ngc *.gcode *.gco *.g *.txt *.NC *.GCODE *.GCO *.G *.TXT);;All files (*)"
PICTURES = "Pictures (*.jpg *.jpeg *.png *.webp *.JPG *.JPEG *.PNG)"

_ICON_PX = 24
_NEEDED = {
    "backButton": ("back", "Folder of before"),
    "toParentButton": ("up", "Folder above"),
    "newFolderButton": ("plus", "New folder"),
}
_SIDE_PX, _LIST_PX = 170, 690
_LABELS = {
    QFileDialog.DialogLabel.LookIn: "Folder",
    QFileDialog.DialogLabel.FileName: "Name",
    QFileDialog.DialogLabel.FileType: "Kind",
}
_NOT_NEEDED = ("forwardButton", "listModeButton", "detailModeButton")


def ask_path(parent: QWidget, title: str, endings: str) -> str:
    """Let somebody choose a file on this PC; "" when nothing was chosen."""
    dialog = _dialog(parent, title, "", endings)
    dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
    return _chosen(dialog)


def ask_new_path(parent: QWidget, title: str, start: str, endings: str) -> str:
    """Let somebody say where a file goes, begun with a name; "" when nothing was chosen.

    A name typed without its ending gets the one of `endings`.
    """
    dialog = _dialog(parent, title, "", endings)
    dialog.setFileMode(QFileDialog.FileMode.AnyFile)
    dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
    dialog.setDefaultSuffix(endings.partition("*.")[2].rstrip(")"))
    dialog.selectFile(start)
    return _chosen(dialog)


def ask_folder_path(parent: QWidget, title: str, start: str) -> str:
    """Let somebody choose a folder on this PC; "" when nothing was chosen."""
    dialog = _dialog(parent, title, start, "")
    dialog.setFileMode(QFileDialog.FileMode.Directory)
    dialog.setOption(QFileDialog.Option.ShowDirsOnly)
    return _chosen(dialog)


class RunPlaces:
    """Asks over a page where the files of a run go; None when the person thinks better of it."""

    def __init__(self, page: QWidget) -> None:
        self._page = page

    def ask_file(self, name: str) -> Path | None:
        """Where one file goes."""
        chosen = ask_new_path(self._page, "Save the run", str(Path.home() / name), "3MF (*.3mf)")
        return Path(chosen) if chosen else None

    def ask_folder(self) -> Path | None:
        """Where a folder of files goes."""
        chosen = ask_folder_path(self._page, "Save the models in", str(Path.home()))
        return Path(chosen) if chosen else None


def _dialog(parent: QWidget, title: str, start: str, endings: str) -> QFileDialog:
    dialog = QFileDialog(parent, title, start, endings)
    dialog.setOption(QFileDialog.Option.DontUseNativeDialog)
    dialog.setViewMode(QFileDialog.ViewMode.List)
    for label, words in _LABELS.items():
        dialog.setLabelText(label, words)
    for halves in dialog.findChildren(QSplitter):
        halves.setSizes([_SIDE_PX, _LIST_PX])
    for view in dialog.findChildren(QListView):
        view.setWrapping(False)
    _put_icons(dialog)
    return dialog


def _put_icons(dialog: QFileDialog) -> None:
    """Our own icons on the few small buttons a person needs; the others go."""
    for button in dialog.findChildren(QToolButton):
        if button.objectName() in _NOT_NEEDED:
            button.hide()
        elif button.objectName() in _NEEDED:
            icon, says = _NEEDED[button.objectName()]
            button.setIcon(QIcon(icon_pixmap(icon, _ICON_PX, current_tokens().ink, 2.0)))
            button.setIconSize(QSize(_ICON_PX, _ICON_PX))
            button.setAccessibleName(says)
            button.setToolTip(says)


def _chosen(dialog: QFileDialog) -> str:
    try:
        return dialog.selectedFiles()[0] if dialog.exec() else ""
    finally:
        dialog.deleteLater()
