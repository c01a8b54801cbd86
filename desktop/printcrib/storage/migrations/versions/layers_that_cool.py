"""How long a copy moves the nozzle, and how long its layers wait to cool.

Revision ID: 0007
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision: str | None = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Of older estimates neither is known: 0 says so, and they are put together as before.

    The defaults stay: SQLite could drop them only by rebuilding the table.
    """
    for name in ("busy_minutes", "cooling_minutes"):
        op.add_column("estimates", sa.Column(name, sa.Double(), nullable=False, server_default="0"))
