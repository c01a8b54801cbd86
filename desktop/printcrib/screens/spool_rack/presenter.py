"""What the Spool rack does: show the rack, weigh, receive and move spools."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol

from printcrib.core.errors import ShopError
from printcrib.core.materials import Insert, Material
from printcrib.core.printers import Printer
from printcrib.screens.shell.standing import Standing
from printcrib.services.interfaces import Shop, is_
from printcrib.services.load_spool import load_spool
from printcrib.services.look_at_spools import (
    InsertRow,
    Rack,
    SpoolRow,
    SpoolStory,
    look_at_spool,
    look_at_spools,
)
from printcrib.services.move_spool import mark_damp, open_spool, put_in_dryer, put_on_rack, throw_away
from printcrib.services.receive_spool import NewSpool, receive_spool
from printcrib.services.set_minimum import set_minimum
from printcrib.services.stock_inserts import add_insert, count_inserts, receive_inserts
from printcrib.services.weigh_spool import Weighed, weigh_spool

CONCERNS = frozenset(
    {"spools", "spool_entries", "printers", "runs", "plans", "stock_minimums", "inserts", "insert_entries"}
)


@dataclass(frozen=True)
class RackChoices:
    """What a spool can be made of and where it can go."""

    materials: tuple[Material, ...]
    printers: tuple[Printer, ...]


def look_at_choices(shop: Shop) -> RackChoices:
    """Materials and printers in use."""
    with shop.read() as uow:
        return RackChoices(
            uow.materials.find(is_("active", True), order_by="name"),
            uow.printers.find(is_("active", True), order_by="name"),
        )


class RackView(Protocol):
    """What the page can show."""

    def show_rack(self, rack: Rack) -> None:
        """Every spool, what runs out first on top."""
        ...

    def show_story(self, story: SpoolStory | None) -> None:
        """One spool in full."""
        ...

    def ask_about_scale(self, row: SpoolRow, weighed: Weighed, gross_mg: int) -> None:
        """The scale is too far from the books: wrong spool, wrong reel, or is the scale right?"""
        ...

    def ask_new_spool(self, choices: RackChoices) -> None:
        """What came in."""
        ...

    def ask_where(self, row: SpoolRow, choices: RackChoices) -> None:
        """Where a spool goes."""
        ...

    def show_refusal(self, error: ShopError) -> None:
        """Why it was refused, beside the answer; what was typed stays."""
        ...

    def close_question(self) -> None:
        """The question is answered."""
        ...


class RackPresenter:
    """Stands between the Spool rack and the use cases.

    Attributes:
        chosen: key of the spool shown in full, None for none.
    """

    def __init__(self, standing: Standing, view: RackView) -> None:
        self._standing, self._view = standing, view
        self.chosen: int | None = None

    def load(self) -> None:
        """Read the rack, and the spool shown in full."""
        self._standing.look(look_at_spools, self._view.show_rack)
        self.show(self.chosen)

    def concerns(self, things: frozenset[str]) -> bool:
        """Whether a change shows here."""
        return bool(things & CONCERNS)

    def show(self, spool_id: int | None) -> None:
        """Show one spool in full."""
        self.chosen = spool_id
        if spool_id is None:
            self._view.show_story(None)
            return
        self._standing.look(lambda shop: look_at_spool(shop, spool_id), self._on_story, failed=self._no_story)

    def weigh(
        self, row: SpoolRow, gross_mg: int, *, really_at: datetime | None = None, scale_is_right: bool = False
    ) -> None:
        """What the scale shows with the reel; too far from the books asks a question and books nothing."""

        def then(weighed: Weighed) -> None:
            if weighed.question:
                self._view.ask_about_scale(row, weighed, gross_mg)
            else:
                self._view.close_question()

        self._standing.act(
            lambda shop, press: weigh_spool(
                shop, press, row.spool.id, gross_mg, scale_is_right=scale_is_right
            ),
            lambda weighed: weighed.words,
            then=then,
            failed=self._view.show_refusal,
            really_at=really_at,
        )

    def weigh_reel(self, row: SpoolRow, gross_mg: int, tare_mg: int) -> None:
        """The empty reel weighs so much; the spool is weighed again with that."""
        self._standing.act(
            lambda shop, press: weigh_spool(shop, press, row.spool.id, gross_mg, tare_mg=tare_mg),
            lambda weighed: weighed.words,
            then=lambda _: self._view.close_question(),
            failed=self._view.show_refusal,
        )

    def ask_new_spool(self) -> None:
        """Begin to receive a spool."""
        self._standing.look(look_at_choices, self._view.ask_new_spool)

    def receive(self, new: NewSpool) -> None:
        """A spool came in."""
        self._standing.act(
            lambda shop, press: receive_spool(shop, press, new),
            lambda spool: f"{spool.tag} received: write {spool.tag} on it.",
            then=lambda spool: self._received(spool.id),
            failed=self._view.show_refusal,
        )

    def ask_where(self, row: SpoolRow) -> None:
        """Begin to move a spool."""
        self._standing.look(look_at_choices, lambda choices: self._view.ask_where(row, choices))

    def to_printer(self, row: SpoolRow, printer: Printer) -> None:
        """The spool is on a printer now."""
        self._standing.act(
            lambda shop, press: load_spool(shop, press, printer.id, row.spool.id),
            f"{row.spool.tag} {row.words} is on {printer.name}.",
            then=lambda _: self._view.close_question(),
            failed=self._view.show_refusal,
        )

    def to_rack(self, row: SpoolRow, place: str) -> None:
        """The spool lies on the rack now."""
        self._standing.act(
            lambda shop, press: put_on_rack(shop, press, row.spool.id, place.strip()),
            f"{row.spool.tag} is on the rack.",
            then=lambda _: self._view.close_question(),
            failed=self._view.show_refusal,
        )

    def to_dryer(self, row: SpoolRow, hours: int) -> None:
        """The spool dries from now on for so many hours."""
        until = self._standing.now() + timedelta(hours=hours)
        self._standing.act(
            lambda shop, press: put_in_dryer(shop, press, row.spool.id, until),
            f"{row.spool.tag} is in the dryer for {hours} h.",
            then=lambda _: self._view.close_question(),
            failed=self._view.show_refusal,
        )

    def open_bag(self, row: SpoolRow) -> None:
        """A sealed spool is opened."""
        self._standing.act(
            lambda shop, press: open_spool(shop, press, row.spool.id),
            f"{row.spool.tag} is opened.",
            then=lambda _: self._view.close_question(),
            failed=self._view.show_refusal,
        )

    def set_damp(self, row: SpoolRow, damp: bool) -> None:
        """Somebody found the spool damp, or dry after all."""
        self._standing.act(
            lambda shop, press: mark_damp(shop, press, row.spool.id, damp),
            f"{row.spool.tag} is damp; the plan leaves it alone." if damp else f"{row.spool.tag} is dry.",
            then=lambda _: self._view.close_question(),
            failed=self._view.show_refusal,
        )

    def throw_away(self, row: SpoolRow) -> None:
        """The spool is gone."""
        self._standing.act(
            lambda shop, press: throw_away(shop, press, row.spool.id),
            f"{row.spool.tag} is thrown away with what was on it.",
            then=lambda _: self._gone(),
            failed=self._view.show_refusal,
        )

    def set_minimum(self, row: SpoolRow, minimum_mg: int) -> None:
        """The least the shop wants of this material and colour."""
        self._standing.act(
            lambda shop, press: set_minimum(shop, press, row.spool.material_id, row.spool.colour, minimum_mg),
            f"At least {minimum_mg // 1000} g of {row.words}.",
            then=lambda _: self._view.close_question(),
            failed=self._view.show_refusal,
        )

    def receive_inserts(self, row: InsertRow, amount: int) -> None:
        """So many inserts of a kind came in."""
        self._standing.act(
            lambda shop, press: receive_inserts(shop, press, row.insert.id, amount),
            lambda left: f"{row.insert.name}: {left} now.",
            failed=self._view.show_refusal,
        )

    def count_inserts(self, row: InsertRow, counted: int) -> None:
        """Somebody counted a kind of insert."""
        self._standing.act(
            lambda shop, press: count_inserts(shop, press, row.insert.id, counted),
            lambda left: f"{row.insert.name}: {left} counted.",
            failed=self._view.show_refusal,
        )

    def add_insert(self, insert: Insert) -> None:
        """A kind of insert the shop keeps from now on."""
        self._standing.act(
            lambda shop, press: add_insert(shop, press, insert),
            lambda kept: f"{kept.name} is kept from now on.",
            failed=self._view.show_refusal,
        )

    def _received(self, spool_id: int) -> None:
        self._view.close_question()
        self.show(spool_id)

    def _gone(self) -> None:
        self._view.close_question()
        self.show(None)

    def _on_story(self, story: SpoolStory) -> None:
        if story.row.spool.id == self.chosen:
            self._view.show_story(story)

    def _no_story(self, error: ShopError) -> None:
        self.chosen = None
        self._view.show_story(None)
        self._standing.messages.problem(error)
