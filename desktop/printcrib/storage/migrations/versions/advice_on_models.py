"""What was found on a model for the nozzles of the shop: features lost, threads, ways to lie.

Revision ID: 0004
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision: str | None = "0003"
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
WORDS = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def upgrade() -> None:
    """Add the table of advice and its look-up."""
    op.create_table(
        "advice",
        sa.Column("id", WHOLE, primary_key=True, nullable=False),
        sa.Column("version", WHOLE, nullable=False),
        sa.Column("recorded_at", WHOLE, nullable=False),
        sa.Column("happened_at", WHOLE, nullable=False),
        sa.Column("void", sa.Boolean(), nullable=False),
        sa.Column("model_id", WHOLE, sa.ForeignKey("models.id"), nullable=False),
        sa.Column("made_for", WORDS, nullable=False),
        sa.Column("nozzles", WORDS, nullable=False),
        sa.Column("threads", WORDS, nullable=False),
        sa.Column("rests", WORDS, nullable=False),
        sa.Column("places", WORDS, nullable=False),
    )
    op.create_index("ix_advice_model_id", "advice", ["model_id"])
