"""What can be done with one size of the book."""

from collections.abc import Callable, Sequence

from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.buttons import Button
from printcrib.services.look_at_patterns import SizeLine


class SizeActs(AskPanel):
    """A button for each; the question it leads to takes its place."""

    def __init__(self, line: SizeLine, acts: Sequence[tuple[str, str, Callable[[], None]]]) -> None:
        told = f"revision {line.revision}, {line.extents}" if line.revision else "no model yet"
        super().__init__(f"Size {line.name}", sentence=f"{told[0].upper()}{told[1:]}.")
        self.acts: dict[str, Button] = {}
        for words, icon, call in acts:
            button = Button(words, icon=icon)
            button.clicked.connect(lambda _down=False, one=call: self._instead(one))
            self.acts[words] = button
            self.body.addWidget(button)
        if line.model is None:
            self.acts["Turn it on the platform"].hide()

    def _instead(self, call: Callable[[], None]) -> None:
        self.lay_down()
        call()
