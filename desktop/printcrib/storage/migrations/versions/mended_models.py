"""How far an untrustworthy model's estimate may be off, and what the tool mended.

Revision ID: 0006
"""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision: str | None = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Nothing was mended until now; of an untrustworthy model nothing better is known than half to double.

    The defaults stay: SQLite could drop them only by rebuilding the table.
    """
    op.add_column("models", sa.Column("doubt", sa.Double(), nullable=False, server_default="0"))
    op.add_column("models", sa.Column("mended", sa.Text(), nullable=False, server_default=""))
    op.execute("UPDATE models SET doubt = 1 WHERE trustworthy = false")
