"""One press by one person: who, where, what, and when it really happened."""

import secrets
from dataclasses import dataclass, field
from datetime import datetime


def new_once_key() -> str:
    """A fresh 128-bit key, so that a press sent twice is booked once."""
    return secrets.token_hex(16)


@dataclass(frozen=True, kw_only=True)
class Press:
    """What a person did at a station, as every booking of it is signed.

    Attributes:
        who_id: person's key, or THE_TOOL.
        happened_at: when it really happened ("really at 05:40"); None for now.
        once_key: sent twice, booked once.
    """

    who_id: int
    station: str = "desk"
    happened_at: datetime | None = None
    once_key: str = field(default_factory=new_once_key)
