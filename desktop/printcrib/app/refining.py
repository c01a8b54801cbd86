"""Works out quick estimates by their paths behind the window, one model at a time."""

import logging

from PySide6.QtCore import QObject, Slot

from printcrib.core.errors import ShopError
from printcrib.core.patterns import Estimate
from printcrib.screens.shell.background import Background, Work
from printcrib.services.done import Done
from printcrib.services.interfaces import Shop
from printcrib.services.press import Press
from printcrib.services.refine_estimates import Refined, Waiting, keep_refined, refine, waiting_for_paths

WORDS = "Working out the estimate by paths"

log = logging.getLogger(__name__)


class Refining(QObject):
    """Looks for quick estimates whenever some were kept; what was tried or cancelled is left alone.

    Args:
        background: reads, computes and writes. shop: whose estimates. station: this PC.
    """

    def __init__(self, background: Background, shop: Shop, station: str, parent: QObject) -> None:
        super().__init__(parent)
        self._background, self._shop, self._station = background, shop, station
        self._tried: set[Waiting] = set()
        self._work: Work | None = None
        background.changed.connect(self._on_changed)

    @property
    def under_way(self) -> bool:
        """Whether a model is being worked on."""
        return self._work is not None and not self._work.cancelled

    def look(self) -> None:
        """See what waits, unless something is under way."""
        if not self.under_way:
            self._work = self._background.read(
                waiting_for_paths, self._shop, done=self._on_waiting, failed=self._on_unseen
            )

    @Slot(object)
    def _on_changed(self, kinds: frozenset[str]) -> None:
        if "estimates" in kinds:
            self.look()

    def _on_waiting(self, waiting: tuple[Waiting, ...]) -> None:
        self._work = None
        fresh = next((each for each in waiting if each not in self._tried), None)
        if fresh is not None:
            self._tried.add(fresh)
            self._work = self._background.read(
                refine, self._shop, fresh, done=self._on_refined, failed=self._on_failed, words=WORDS
            )

    def _on_unseen(self, error: ShopError) -> None:
        """What waits could not be read; the next change looks again."""
        log.warning("estimates by paths: %s", error)
        self._work = None

    def _on_refined(self, refined: Refined) -> None:
        press = Press(who_id=0, station=self._station)
        self._work = self._background.change(
            keep_refined, self._shop, press, refined, done=self._on_kept, failed=self._on_failed
        )

    def _on_kept(self, _done: Done[tuple[Estimate, ...]]) -> None:
        self._work = None
        self.look()

    def _on_failed(self, error: ShopError) -> None:
        """The quick figures stay; the next model may do better."""
        log.warning("no estimate by paths: %s", error)
        self._work = None
        self.look()
