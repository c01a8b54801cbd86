"""The people of the shop and what each may do."""

from dataclasses import dataclass
from enum import StrEnum

from printcrib.core.records import Record


class Role(StrEnum):
    """What a person does at the print desk; one person may have several."""

    MACHINIST = "machinist"
    DESK = "desk"
    REVIEWER = "reviewer"
    LEAD = "lead"


@dataclass(frozen=True, kw_only=True)
class Person(Record):
    """Somebody who asks, prints, reviews or leads; switched off, never deleted."""

    name: str
    badge: str = ""
    pin_hash: str = ""
    roles: tuple[Role, ...] = (Role.MACHINIST,)
    active: bool = True

    def may(self, *roles: Role) -> bool:
        """Whether this person has one of the roles; the lead may do all the desk does."""
        held = set(self.roles)
        if Role.LEAD in held:
            held.add(Role.DESK)
        return self.active and bool(held & set(roles))
