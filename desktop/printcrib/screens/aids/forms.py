"""What is told when an aid is handed out, before it is booked; no widgets."""

from dataclasses import dataclass

from printcrib.core.aids import RetireReason
from printcrib.core.errors import ShopError
from printcrib.core.patterns import CountedBy
from printcrib.services.hand_out_aid import To
from printcrib.services.look_at_hand_out import HandOutChoices, OldAid

TO_SHELF = "shelf"
OLD_ONES = (
    (RetireReason.WORN_OUT.value, "Worn out"),
    (RetireReason.BROKEN.value, "Broken"),
    (RetireReason.REPLACED_EARLY.value, "Replaced early"),
    (TO_SHELF, "Back to the shelf"),
)
"""What becomes of the aid that comes off the machine."""


@dataclass(frozen=True)
class HandOutForm:
    """The answers so far.

    Attributes:
        machine_id: None while nobody chose. counter: what the part counter shows now, None for not read.
        swap_id: the aid that comes off, None for none. becomes: one of OLD_ONES, "" while not said.
    """

    machine_id: int | None = None
    counted_by: CountedBy = CountedBy.ADD
    uses_a_part: int = 1
    counter: int | None = None
    swap_id: int | None = None
    becomes: str = ""

    @property
    def asks_uses(self) -> bool:
        """Whether uses a part matter."""
        return self.counted_by in (CountedBy.PARTS, CountedBy.READING)

    @property
    def asks_counter(self) -> bool:
        """Whether the part counter matters."""
        return self.counted_by is CountedBy.READING


def first_form(choices: HandOutChoices) -> HandOutForm:
    """What is known before anybody answers: the request's machine, the pattern's way of counting."""
    there = () if choices.moves else old_at(choices, choices.machine_id)
    return HandOutForm(
        machine_id=choices.machine_id,
        counted_by=choices.counted_by,
        uses_a_part=choices.uses_a_part,
        swap_id=there[0].aid_id if there else None,
    )


def old_at(choices: HandOutChoices, machine_id: int | None) -> tuple[OldAid, ...]:
    """Aids of its size in use at a machine."""
    return tuple(each for each in choices.old if each.machine_id == machine_id)


def needs_answer(form: HandOutForm) -> bool:
    """Whether something has to be said before it can be handed out."""
    return form.machine_id is None or (form.swap_id is not None and not form.becomes)


def to_of(form: HandOutForm, choices: HandOutChoices) -> To:
    """The answers as the use case takes them.

    Raises:
        ShopError: no machine chosen, or nobody said what becomes of the old one.
    """
    if form.machine_id is None:
        raise ShopError(f"Nobody said which machine {choices.tag} goes to", "Choose the machine.")
    if form.swap_id is not None and not form.becomes:
        tag = next(each.tag for each in choices.old if each.aid_id == form.swap_id)
        raise ShopError(f"Nobody said what becomes of {tag}", "Choose it, or let nothing come off.")
    reason = None if form.becomes in ("", TO_SHELF) else RetireReason(form.becomes)
    return To(
        machine_id=form.machine_id,
        counted_by=form.counted_by,
        uses_a_part=form.uses_a_part,
        counter=form.counter if form.asks_counter else None,
        swap_aid_id=form.swap_id,
        old_reason=reason if form.swap_id is not None else None,
    )


def machine_name(choices: HandOutChoices, machine_id: int | None) -> str:
    """The name of a machine."""
    return next((name for key, name in choices.machines if key == machine_id), "its machine")
