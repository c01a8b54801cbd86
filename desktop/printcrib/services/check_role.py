"""Who may press this: roles checked with one plain sentence."""

from printcrib.core.errors import ShopError
from printcrib.core.people import Person, Role
from printcrib.core.records import THE_TOOL
from printcrib.core.requests import Request
from printcrib.services.interfaces import UnitOfWork

THE_TOOL_ITSELF = Person(id=THE_TOOL, name="the tool", roles=(Role.MACHINIST, Role.DESK))
"""Signs what the tool does by itself; it reviews nothing and leads nobody."""

_WORDS = {
    Role.MACHINIST: "a machinist",
    Role.DESK: "the desk",
    Role.REVIEWER: "a reviewer",
    Role.LEAD: "the lead",
}


def presser(uow: UnitOfWork) -> Person:
    """The person who pressed.

    Raises:
        ShopError: the person is switched off. NotFound: nobody has that key.
    """
    if uow.press.who_id == THE_TOOL:
        return THE_TOOL_ITSELF
    person = uow.people.get(uow.press.who_id)
    if not person.active:
        raise ShopError(f"{person.name} is switched off", "Press under another name.")
    return person


def require(uow: UnitOfWork, doing: str, *roles: Role) -> Person:
    """The presser, who has one of the roles.

    Args:
        doing: completes "Only the desk may ...".
    """
    person = presser(uow)
    if not person.may(*roles):
        names = " or ".join(_WORDS[role] for role in roles)
        raise ShopError(f"Only {names} may {doing}", f"Ask {names}.")
    return person


def require_asker_or_desk(uow: UnitOfWork, request: Request, doing: str) -> Person:
    """The presser, who asked for it or is the desk."""
    person = presser(uow)
    if person.id != request.asker_id and not person.may(Role.DESK):
        raise ShopError(f"Only the asker or the desk may {doing}", "Ask one of them.")
    return person
