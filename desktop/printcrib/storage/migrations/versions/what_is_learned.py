"""What a run was computed at before anything learned, and fresh starts of what is learned.

Revision ID: 0005
"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision: str | None = "0004"
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Until now nothing was learned, so every estimate of a run is what was computed.

    The default stays: SQLite could drop it only by rebuilding the table.
    """
    for name, kind in (
        ("computed_minutes", sa.Double()),
        ("computed_start_minutes", sa.Double()),
        ("computed_mg", WHOLE),
    ):
        op.add_column("runs", sa.Column(name, kind, nullable=False, server_default="0"))
    op.execute("UPDATE runs SET computed_minutes = estimated_minutes, computed_mg = estimated_mg")
    op.create_table(
        "fresh_starts",
        sa.Column("id", WHOLE, primary_key=True, nullable=False),
        *(sa.Column(name, WHOLE, nullable=False) for name in ("version", "recorded_at", "happened_at")),
        sa.Column("void", sa.Boolean(), nullable=False),
        sa.Column("printer_id", WHOLE, sa.ForeignKey("printers.id"), nullable=False),
        sa.Column("bore_um", WHOLE, nullable=False),
        sa.Column("who_id", WHOLE, sa.ForeignKey("people.id"), nullable=False),
    )
