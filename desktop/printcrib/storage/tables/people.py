"""The people of the shop."""

from sqlalchemy.orm import Mapped, mapped_column

from printcrib.core.people import Role
from printcrib.storage.tables.columns import AsJson, RecordRow, once_only


class PersonRow(RecordRow):
    """One person."""

    __tablename__ = "people"
    __table_args__ = (*once_only("people"),)

    name: Mapped[str]
    badge: Mapped[str]
    pin_hash: Mapped[str]
    roles: Mapped[tuple[Role, ...]] = mapped_column(AsJson(tuple[Role, ...]))
    active: Mapped[bool]
