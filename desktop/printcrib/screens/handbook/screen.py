"""The handbook, standing over the page it is about (F1)."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QTextDocument
from PySide6.QtWidgets import QSizePolicy, QTextBrowser

from printcrib.screens.parts import lettering
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.tokens import current_tokens


class HandbookPanel(AskPanel):
    """One page of the handbook; Escape or Back puts it away.

    Args:
        text: the page in Markdown; its first heading becomes the title.
    """

    def __init__(self, text: str) -> None:
        title, _, rest = text.partition("\n")
        super().__init__(title.lstrip("# ").strip() or "Handbook", back="Back", width=1040)
        self.text = QTextBrowser()
        self.text.setAccessibleName("Handbook page")
        self.text.setOpenLinks(False)
        self.text.setFont(lettering.font())
        self.text.setFrameShape(QTextBrowser.Shape.NoFrame)
        self.text.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.text.setMinimumHeight(380)
        ink, sheet = current_tokens().ink.name(), current_tokens().sheet.name()
        self.text.setStyleSheet(f"QTextBrowser {{ background: {sheet}; color: {ink}; border: none; }}")
        self.text.document().setDefaultFont(lettering.font())
        self.text.document().setMarkdown(rest, QTextDocument.MarkdownFeature.MarkdownNoHTML)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByKeyboard)
        self.body.addWidget(self.text, 1)
