"""What may be there only once, and the look-ups that are asked for every day.

Revision ID: 0002
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision: str | None = "0001"
branch_labels = None
depends_on = None

COUNTS = "void = false"
UNDER_WAY = (
    f"{COUNTS} AND state IN ('wanted', 'on run', 'printing', 'to check', 'finishing', 'ready')"
    " AND label != ''"
)
ONCE_ONLY: tuple[tuple[str, str, str, str | None], ...] = (
    ("uq_aids_copy", "aids", "copy_id", COUNTS),
    (
        "uq_aids_label",
        "aids",
        "size_id label",
        f"{COUNTS} AND state IN ('shelf', 'in use', 'aside') AND label != ''",
    ),
    ("uq_aids_number", "aids", "number", None),
    ("uq_attachments_sha256", "attachments", "sha256", COUNTS),
    ("uq_changes_hash", "changes", "hash", None),
    ("uq_changes_once_key", "changes", "once_key", None),
    ("uq_closed_days_day", "closed_days", "day", COUNTS),
    ("uq_copies_label", "copies", "size_id label", UNDER_WAY),
    ("uq_copies_ordinal", "copies", "request_id ordinal", COUNTS),
    ("uq_duties_name", "duties", "name", COUNTS),
    ("uq_models_revision", "models", "size_id revision", COUNTS),
    ("uq_nozzles_number", "nozzles", "number", None),
    ("uq_patterns_number", "patterns", "number", None),
    ("uq_people_badge", "people", "badge", f"{COUNTS} AND badge != ''"),
    ("uq_plans_kept", "plans", "state", f"{COUNTS} AND state IN ('kept')"),
    ("uq_printers_fitted_nozzle", "printers", "fitted_nozzle_id", COUNTS),
    ("uq_printers_mounted_spool", "printers", "mounted_spool_id", COUNTS),
    ("uq_requests_number", "requests", "number", None),
    (
        "uq_requests_open_reprint",
        "requests",
        "replaces_aid_id",
        f"{COUNTS} AND state IN ('draft', 'raised', 'sent back', 'accepted')",
    ),
    ("uq_runs_number", "runs", "number", None),
    ("uq_runs_printer_busy", "runs", "printer_id", f"{COUNTS} AND state IN ('started', 'stopped')"),
    ("uq_spools_number", "spools", "number", None),
    ("uq_stock_minimums_of", "stock_minimums", "material_id colour", COUNTS),
    ("uq_unattended_answer", "unattended", "printer_id material_id", COUNTS),
)
"""Name, table, columns, and the rows it holds for."""

LOOK_UPS = (
    ("ix_aids_machine_id", "aids", "machine_id"),
    ("ix_aids_size_id", "aids", "size_id"),
    ("ix_aids_state", "aids", "state"),
    ("ix_changes_press_number", "changes", "press_number"),
    ("ix_changes_thing_number", "changes", "thing number"),
    ("ix_changes_thing_thing_id_number", "changes", "thing thing_id number"),
    ("ix_copies_request_id", "copies", "request_id"),
    ("ix_copies_run_id", "copies", "run_id"),
    ("ix_copies_state", "copies", "state"),
    ("ix_estimates_model_id", "estimates", "model_id"),
    ("ix_estimates_settings_hash", "estimates", "settings_hash"),
    ("ix_failures_happened_at", "failures", "happened_at"),
    ("ix_failures_run_id", "failures", "run_id"),
    ("ix_holds_request_id", "holds", "request_id"),
    ("ix_insert_entries_insert_id", "insert_entries", "insert_id"),
    ("ix_machine_readings_machine_id_happened_at", "machine_readings", "machine_id happened_at"),
    ("ix_models_sha256", "models", "sha256"),
    ("ix_plans_state", "plans", "state"),
    ("ix_promises_request_id", "promises", "request_id"),
    ("ix_releases_size_id", "releases", "size_id"),
    ("ix_requests_asker_id", "requests", "asker_id"),
    ("ix_requests_happened_at", "requests", "happened_at"),
    ("ix_requests_replaces_aid_id", "requests", "replaces_aid_id"),
    ("ix_requests_size_id", "requests", "size_id"),
    ("ix_requests_state_needed_by", "requests", "state needed_by"),
    ("ix_runs_happened_at", "runs", "happened_at"),
    ("ix_runs_printer_id_planned_start", "runs", "printer_id planned_start"),
    ("ix_runs_state", "runs", "state"),
    ("ix_runs_taken_off_at", "runs", "taken_off_at"),
    ("ix_sizes_pattern_id", "sizes", "pattern_id"),
    ("ix_spool_entries_happened_at", "spool_entries", "happened_at"),
    ("ix_spool_entries_run_id", "spool_entries", "run_id"),
    ("ix_spool_entries_of_spool", "spool_entries", "spool_id void mg"),
    ("ix_spools_state", "spools", "state"),
    ("ix_use_entries_of_aid", "use_entries", "aid_id happened_at void amount counted_to"),
    ("ix_use_entries_happened_at", "use_entries", "happened_at"),
)
"""Name, table, columns."""


def upgrade() -> None:
    """Add every index."""
    for name, table, columns, only in ONCE_ONLY:
        where = None if only is None else sa.text(only)
        op.create_index(name, table, columns.split(), unique=True, sqlite_where=where, postgresql_where=where)
    for name, table, columns in LOOK_UPS:
        op.create_index(name, table, columns.split())
