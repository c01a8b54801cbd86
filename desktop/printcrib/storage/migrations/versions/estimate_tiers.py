"""Which estimates were answered at once and which were worked out from paths.

Revision ID: 0003
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision: str | None = "0002"
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Until now all were answered at once.

    The default stays: SQLite could drop it only by rebuilding the table.
    """
    op.add_column("estimates", sa.Column("tier", WHOLE, nullable=False, server_default="1"))
