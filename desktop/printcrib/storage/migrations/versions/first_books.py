"""The first books: every kind of record, the change record, the counters and the pieces of files.

Revision ID: 0001
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision: str | None = None
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
WORDS = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
LATER = (
    ("printers", "fitted_nozzle_id", "nozzles"),
    ("sizes", "model_id", "models"),
    ("requests", "replaces_aid_id", "aids"),
    ("copies", "aid_id", "aids"),
)
"""Keys of tables that point at each other: a server adds these rules once both are there."""


def _columns(kind: Any, names: str, null: bool) -> list[sa.Column[Any]]:
    return [sa.Column(name, kind, nullable=null) for name in names.split()]


def _words(names: str, null: bool = False) -> list[sa.Column[Any]]:
    return _columns(WORDS, names, null)


def _whole(names: str, null: bool = False) -> list[sa.Column[Any]]:
    return _columns(WHOLE, names, null)


def _floats(names: str, null: bool = False) -> list[sa.Column[Any]]:
    return _columns(sa.Double(), names, null)


def _yes_no(names: str, null: bool = False) -> list[sa.Column[Any]]:
    return _columns(sa.Boolean(), names, null)


def _key(name: str, table: str, null: bool = False, later: bool = False) -> list[sa.Column[Any]]:
    return [sa.Column(name, WHOLE, sa.ForeignKey(f"{table}.id", use_alter=later), nullable=null)]


def _table(name: str, *columns: sa.Column[Any]) -> None:
    op.create_table(
        name,
        sa.Column("id", WHOLE, primary_key=True, nullable=False),
        *_whole("version recorded_at happened_at"),
        *_yes_no("void"),
        *columns,
    )


def upgrade() -> None:
    """Make the books and write the tool into the list of people."""
    _things()
    _printers_and_patterns()
    _work()
    _trail()
    if op.get_bind().dialect.name != "sqlite":
        for table, name, other in LATER:
            op.create_foreign_key(None, table, other, [name], ["id"])
    op.execute(
        "INSERT INTO people (id, version, recorded_at, happened_at, void, name, badge, pin_hash, roles,"
        " active) VALUES (0, 1, 0, 0, true, 'The tool', '', '', '[]', false)"
    )


def _things() -> None:
    """Tables that hold no key of another."""
    _table(
        "attachments",
        *_words("sha256 kind"),
        *_whole("bytes"),
    )
    _table(
        "closed_days",
        *_words("day words"),
    )
    _table(
        "duties",
        *_words("name holder done_for"),
        *_whole("until"),
    )
    _table(
        "inserts",
        *_words("name"),
        *_whole("minimum maximum"),
        *_whole("price_thousandths", null=True),
        *_yes_no("active"),
    )
    _table(
        "machines",
        *_words("name"),
        *_yes_no("active"),
    )
    _table(
        "materials",
        *_words(
            "name density_source softens_words strength_words nozzle_c_words bed_c_words drying_words "
            "contact source"
        ),
        *_floats("density"),
        *_whole("keep_below_c drying_c price_per_kg_thousandths", null=True),
        *_floats("drying_hours", null=True),
        *_yes_no("abrasive active"),
    )
    _table(
        "people",
        *_words("name badge pin_hash roles"),
        *_yes_no("active"),
    )
    _table(
        "settings",
        *_words("name zone currency"),
        *_whole(
            "clear_minutes nozzle_minutes material_minutes purge_mg safety_minutes persons late_cost "
            "setup_cost makespan_cost tail_mg"
        ),
        *_floats("gap_mm fill_limit"),
        *_whole("hands_on_rate_thousandths", null=True),
        *_yes_no("is_demo"),
    )
    _table(
        "shifts",
        *_whole("weekday"),
        *_words("opens closes"),
    )


def _printers_and_patterns() -> None:
    """What the shop owns and the pattern book."""
    _table(
        "machine_readings",
        *_key("machine_id", "machines"),
        *_key("who_id", "people"),
        *_whole("counter"),
        *_yes_no("counter_reset"),
    )
    _table(
        "patterns",
        *_key("material_id", "materials", null=True),
        *_whole("number uses_a_part"),
        *_words("name kind use_unit counted_by reliability how_fine colour finishing_steps inserts notes"),
        *_whole("expected_life days_in_service", null=True),
        *_words("safety_answers", null=True),
        *_yes_no("take_out_before_start listed"),
    )
    _table(
        "spools",
        *_key("material_id", "materials"),
        *_whole("number nominal_mg"),
        *_words("colour lot density_source state place"),
        *_whole("tare_mg price_thousandths", null=True),
        *_yes_no("tare_guessed damp"),
        *_floats("density", null=True),
        *_whole("opened_at dried_at dryer_until", null=True),
    )
    _table(
        "stock_minimums",
        *_key("material_id", "materials"),
        *_words("colour"),
        *_whole("minimum_mg"),
    )
    _table(
        "printers",
        *_key("fitted_nozzle_id", "nozzles", null=True, later=True),
        *_key("mounted_spool_id", "spools", null=True),
        *_words("name platform_mm material_ids"),
        *_floats("height_mm"),
        *_whole("rate_thousandths", null=True),
        *_yes_no("out_of_service needs_clearing active"),
    )
    _table(
        "sizes",
        *_key("pattern_id", "patterns"),
        *_key("model_id", "models", null=True, later=True),
        *_words("name shelf_place"),
        *_whole("minimum_spares"),
        *_whole("count_limit", null=True),
        *_yes_no("active"),
    )
    _table(
        "models",
        *_key("size_id", "sizes"),
        *_words("revision sha256 file_name file_kind extents_mm findings source licence"),
        *_floats("unit_scale volume_cm3"),
        *_whole("turn triangles"),
        *_yes_no("trustworthy"),
    )
    _table(
        "nozzles",
        *_key("printer_id", "printers", null=True),
        *_whole("number bore_um minutes_used mg_used"),
        *_yes_no("hardened retired"),
    )
    _table(
        "print_profiles",
        *_key("printer_id", "printers"),
        *_key("material_id", "materials", null=True),
        *_whole("bore_um"),
        *_words("values"),
    )
    _table(
        "unattended",
        *_key("printer_id", "printers"),
        *_key("material_id", "materials"),
        *_key("answered_by_id", "people"),
        *_yes_no("allowed"),
    )
    _table(
        "estimates",
        *_key("model_id", "models"),
        *_key("printer_id", "printers"),
        *_key("material_id", "materials"),
        *_whole("bore_um part_mg mg layers"),
        *_words("settings_hash"),
        *_floats("part_minutes start_minutes likely_minutes at_most_minutes"),
        *_whole("cost_thousandths", null=True),
    )


def _work() -> None:
    """Requests, runs, aids and their bookings."""
    _table(
        "plans",
        *_key("kept_by_id", "people", null=True),
        *_whole("starts_at"),
        *_words("state method lanes unplanned"),
        *_whole("nozzle_swaps swaps_saved setup_minutes_saved late_minutes_saved"),
    )
    _table(
        "requests",
        *_key("asker_id", "people"),
        *_key("entered_by_id", "people"),
        *_key("size_id", "sizes", null=True),
        *_key("material_id", "materials", null=True),
        *_key("machine_id", "machines", null=True),
        *_key("follows_id", "requests", null=True),
        *_key("replaces_aid_id", "aids", null=True, later=True),
        *_key("accepted_by_id", "people", null=True),
        *_whole("number quantity weight"),
        *_words(
            "words photo_sha colour how_fine purpose labels job job_revision touches critical_sizes "
            "reason state sent_back_reason"
        ),
        *_floats("scale"),
        *_whole("needed_by program_ready_at accepted_at done_at not_before", null=True),
        *_words("safety_answers", null=True),
        *_yes_no("same_use", null=True),
        *_whole("bore_um", null=True),
        *_yes_no("wait_for_release"),
    )
    _table(
        "holds",
        *_key("request_id", "requests"),
        *_key("opened_by_id", "people"),
        *_key("closed_by_id", "people", null=True),
        *_words("kind words why"),
        *_whole("closed_at", null=True),
    )
    _table(
        "promises",
        *_key("request_id", "requests"),
        *_key("to_person_id", "people"),
        *_key("plan_id", "plans", null=True),
        *_whole("said_at likely at_most"),
        *_words("outcome why"),
    )
    _table(
        "releases",
        *_key("size_id", "sizes"),
        *_key("model_id", "models"),
        *_key("reviewer_id", "people"),
        *_key("asker_id", "people"),
        *_words(
            "answers material_ids bores_um machine_ids pressure_limit conditions outside_reviewer lapsed_by"
        ),
        *_whole("turn"),
        *_whole("top_speed_rpm", null=True),
        *_whole("valid_from"),
        *_whole("until lapsed_at", null=True),
    )
    _table(
        "runs",
        *_key("printer_id", "printers"),
        *_key("nozzle_id", "nozzles", null=True),
        *_key("material_id", "materials", null=True),
        *_key("started_by_id", "people", null=True),
        *_key("taken_off_by_id", "people", null=True),
        *_whole("number bore_um estimated_mg"),
        *_words("colour spool_ids origin state print_file_sha name"),
        *_floats("estimated_minutes at_most_minutes"),
        *_whole(
            "planned_hands_on planned_start planned_end started_at stopped_at taken_off_at free_again_at",
            null=True,
        ),
        *_floats("file_minutes minutes stopped_at_percent", null=True),
        *_words("file_minutes_source file_mg_source minutes_source grams_source", null=True),
        *_whole("file_mg mg", null=True),
        *_yes_no("swapped_nozzle changed_material"),
    )
    _table(
        "copies",
        *_key("request_id", "requests"),
        *_key("size_id", "sizes", null=True),
        *_key("model_id", "models", null=True),
        *_key("replaces_id", "copies", null=True),
        *_key("run_id", "runs", null=True),
        *_key("aid_id", "aids", null=True, later=True),
        *_whole("ordinal steps_done"),
        *_words("label state cause fit_result"),
        *_whole("ready_at", null=True),
    )
    _table(
        "failures",
        *_key("run_id", "runs"),
        *_key("who_id", "people"),
        *_words("copy_ids cause cause_group photo_sha done_about_it"),
        *_floats("percent", null=True),
        *_whole("mg_lost"),
        *_floats("minutes_lost"),
    )
    _table(
        "spool_entries",
        *_key("spool_id", "spools"),
        *_key("who_id", "people"),
        *_key("run_id", "runs", null=True),
        *_key("opposes_id", "spool_entries", null=True),
        *_words("kind source note"),
        *_whole("mg"),
        *_whole("gross_mg", null=True),
    )
    _table(
        "aids",
        *_key("copy_id", "copies"),
        *_key("request_id", "requests"),
        *_key("size_id", "sizes"),
        *_key("model_id", "models", null=True),
        *_key("machine_id", "machines", null=True),
        *_whole("number uses_a_part"),
        *_words("label state counted_by aside_why place"),
        *_whole("since in_use_since checked_at retired_at", null=True),
        *_whole("limit", null=True),
        *_words("retired_reason", null=True),
    )
    _table(
        "insert_entries",
        *_key("insert_id", "inserts"),
        *_key("who_id", "people"),
        *_key("copy_id", "copies", null=True),
        *_key("opposes_id", "insert_entries", null=True),
        *_words("kind"),
        *_whole("amount"),
    )
    _table(
        "use_entries",
        *_key("aid_id", "aids"),
        *_key("who_id", "people"),
        *_key("opposes_id", "use_entries", null=True),
        *_words("kind sure"),
        *_whole("amount"),
        *_whole("counted_from counted_to", null=True),
    )


def _trail() -> None:
    """The change record, the counters, the pieces of files."""
    op.create_table(
        "changes",
        sa.Column("number", WHOLE, primary_key=True, autoincrement=False, nullable=False),
        *_whole("recorded_at happened_at"),
        *_key("who_id", "people"),
        *_words("station verb thing"),
        *_whole("thing_id thing_version press_number"),
        *_words("before after once_key", null=True),
        *_words("previous_hash hash"),
    )
    op.create_table(
        "counters",
        sa.Column("name", WORDS, primary_key=True, nullable=False),
        *_whole("last"),
    )
    op.create_table(
        "pieces",
        sa.Column("attachment_id", WHOLE, sa.ForeignKey("attachments.id"), primary_key=True, nullable=False),
        sa.Column("ordinal", WHOLE, primary_key=True, autoincrement=False, nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
    )
