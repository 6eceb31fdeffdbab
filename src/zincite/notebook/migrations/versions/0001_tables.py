"""Tables of every noun, the chained events and the kept files."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_SQLITE_GUARDS = (
    "CREATE TRIGGER event_no_update BEFORE UPDATE ON event "
    "BEGIN SELECT RAISE(ABORT, 'the history is only added to'); END",
    "CREATE TRIGGER event_no_delete BEFORE DELETE ON event "
    "BEGIN SELECT RAISE(ABORT, 'the history is only added to'); END",
)
_POSTGRES_GUARDS = (
    "CREATE FUNCTION event_only_added() RETURNS trigger LANGUAGE plpgsql AS "
    "$$ BEGIN RAISE EXCEPTION 'the history is only added to'; END $$",
    "CREATE TRIGGER event_only_added BEFORE UPDATE OR DELETE ON event "
    "FOR EACH ROW EXECUTE FUNCTION event_only_added()",
)


def upgrade() -> None:
    """Make the tables, and let the database refuse a change of the history."""
    _tables()
    sqlite = op.get_bind().dialect.name == "sqlite"
    for statement in _SQLITE_GUARDS if sqlite else _POSTGRES_GUARDS:
        op.execute(statement)
    if sqlite:
        op.execute("PRAGMA application_id = 2053729891")  # "zinc": the file says what it is


def _tables() -> None:
    op.create_table(
        "blob",
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_blob")),
    )
    op.create_table(
        "event",
        sa.Column("seq", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("prev", sa.String(length=64), nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.Column("who", sa.String(length=200), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("noun", sa.String(length=40), nullable=False),
        sa.Column("subject", sa.String(length=40), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_event")),
        sa.UniqueConstraint("hash", name=op.f("uq_event_hash")),
        sa.UniqueConstraint("prev", name=op.f("uq_event_prev")),
    )
    op.create_index(op.f("ix_event_noun_subject"), "event", ["noun", "subject"], unique=False)
    op.create_table(
        "account",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("full_name", sa.String(length=200), nullable=False),
        sa.Column("role", sa.String(length=40), nullable=False),
        sa.Column("active", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_account_event_seq")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_account")),
        sa.UniqueConstraint("name", name=op.f("uq_account_name")),
    )
    op.create_index(op.f("ix_account_event_seq"), "account", ["event_seq"], unique=False)
    op.create_table(
        "attachment",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.Column("noun", sa.String(length=40), nullable=False),
        sa.Column("subject", sa.String(length=40), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("media_type", sa.String(length=200), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_attachment_event_seq")),
        sa.ForeignKeyConstraint(["sha256"], ["blob.sha256"], name=op.f("fk_attachment_sha256")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_attachment")),
    )
    op.create_index(op.f("ix_attachment_event_seq"), "attachment", ["event_seq"], unique=False)
    op.create_index(
        op.f("ix_attachment_noun_subject"), "attachment", ["noun", "subject"], unique=False
    )
    op.create_index(op.f("ix_attachment_sha256"), "attachment", ["sha256"], unique=False)
    op.create_table(
        "comment",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.Column("noun", sa.String(length=40), nullable=False),
        sa.Column("subject", sa.String(length=40), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_comment_event_seq")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_comment")),
    )
    op.create_index(op.f("ix_comment_event_seq"), "comment", ["event_seq"], unique=False)
    op.create_index(op.f("ix_comment_noun_subject"), "comment", ["noun", "subject"], unique=False)
    op.create_table(
        "decision",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.Column("noun", sa.String(length=40), nullable=False),
        sa.Column("subject", sa.String(length=40), nullable=False),
        sa.Column("verdict", sa.String(length=200), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_decision_event_seq")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_decision")),
    )
    op.create_index(op.f("ix_decision_event_seq"), "decision", ["event_seq"], unique=False)
    op.create_index(op.f("ix_decision_noun_subject"), "decision", ["noun", "subject"], unique=False)
    op.create_table(
        "lot",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.Column("code", sa.String(length=200), nullable=False),
        sa.Column("material_key", sa.String(length=200), nullable=False),
        sa.Column("supplier", sa.String(length=200), nullable=False),
        sa.Column("received_on", sa.String(length=32), nullable=False),
        sa.Column("expires_on", sa.String(length=32), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_lot_event_seq")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lot")),
        sa.UniqueConstraint("code", name=op.f("uq_lot_code")),
    )
    op.create_index(op.f("ix_lot_event_seq"), "lot", ["event_seq"], unique=False)
    op.create_index(op.f("ix_lot_material_key"), "lot", ["material_key"], unique=False)
    op.create_table(
        "mapping",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.Column("fingerprint", sa.String(length=200), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_mapping_event_seq")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mapping")),
        sa.UniqueConstraint("fingerprint", name=op.f("uq_mapping_fingerprint")),
    )
    op.create_index(op.f("ix_mapping_event_seq"), "mapping", ["event_seq"], unique=False)
    op.create_table(
        "material",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.Column("key", sa.String(length=200), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("inci", sa.String(length=200), nullable=False),
        sa.Column("toml", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_material_event_seq")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_material")),
        sa.UniqueConstraint("key", "number", name=op.f("uq_material_key_number")),
    )
    op.create_index(op.f("ix_material_event_seq"), "material", ["event_seq"], unique=False)
    op.create_index(op.f("ix_material_inci"), "material", ["inci"], unique=False)
    op.create_table(
        "project",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.Column("code", sa.String(length=200), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_project_event_seq")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_project")),
        sa.UniqueConstraint("code", name=op.f("uq_project_code")),
    )
    op.create_index(op.f("ix_project_event_seq"), "project", ["event_seq"], unique=False)
    op.create_table(
        "signature",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.Column("noun", sa.String(length=40), nullable=False),
        sa.Column("subject", sa.String(length=40), nullable=False),
        sa.Column("account_id", sa.String(length=40), nullable=True),
        sa.Column("signed_by", sa.String(length=200), nullable=False),
        sa.Column("full_name", sa.String(length=200), nullable=False),
        sa.Column("meaning", sa.Text(), nullable=False),
        sa.Column("of_revision", sa.Integer(), nullable=False),
        sa.Column("content_hash", sa.String(length=200), nullable=False),
        sa.ForeignKeyConstraint(
            ["account_id"], ["account.id"], name=op.f("fk_signature_account_id")
        ),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_signature_event_seq")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_signature")),
    )
    op.create_index(op.f("ix_signature_event_seq"), "signature", ["event_seq"], unique=False)
    op.create_index(
        op.f("ix_signature_noun_subject"), "signature", ["noun", "subject"], unique=False
    )
    op.create_index(op.f("ix_signature_account_id"), "signature", ["account_id"], unique=False)
    op.create_table(
        "login_attempt",
        sa.Column("name_hash", sa.String(length=64), nullable=False),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("last_at", sa.String(length=32), nullable=False),
        sa.PrimaryKeyConstraint("name_hash", name=op.f("pk_login_attempt")),
    )
    op.create_table(
        "brief",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.Column("project_id", sa.String(length=40), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("toml", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_brief_event_seq")),
        sa.ForeignKeyConstraint(["project_id"], ["project.id"], name=op.f("fk_brief_project_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_brief")),
        sa.UniqueConstraint("project_id", "number", name=op.f("uq_brief_project_id_number")),
    )
    op.create_index(op.f("ix_brief_event_seq"), "brief", ["event_seq"], unique=False)
    op.create_index(op.f("ix_brief_project_id"), "brief", ["project_id"], unique=False)
    op.create_table(
        "credential",
        sa.Column("account_id", sa.String(length=40), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["account_id"], ["account.id"], name=op.f("fk_credential_account_id")
        ),
        sa.PrimaryKeyConstraint("account_id", name=op.f("pk_credential")),
    )
    op.create_table(
        "formula",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.Column("project_id", sa.String(length=40), nullable=False),
        sa.Column("code", sa.String(length=200), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("parent_id", sa.String(length=40), nullable=True),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("toml", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_formula_event_seq")),
        sa.ForeignKeyConstraint(["parent_id"], ["formula.id"], name=op.f("fk_formula_parent_id")),
        sa.ForeignKeyConstraint(["project_id"], ["project.id"], name=op.f("fk_formula_project_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_formula")),
        sa.UniqueConstraint("code", "number", name=op.f("uq_formula_code_number")),
    )
    op.create_index(op.f("ix_formula_event_seq"), "formula", ["event_seq"], unique=False)
    op.create_index(op.f("ix_formula_project_id"), "formula", ["project_id"], unique=False)
    op.create_table(
        "lot_value",
        sa.Column("lot_id", sa.String(length=40), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("quantity", sa.String(length=200), nullable=False),
        sa.Column("value", sa.Float(precision=53), nullable=True),
        sa.Column("unit", sa.String(length=200), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_lot_value_event_seq")),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_lot_value_lot_id")),
        sa.PrimaryKeyConstraint("lot_id", "position", name=op.f("pk_lot_value")),
    )
    op.create_index(op.f("ix_lot_value_event_seq"), "lot_value", ["event_seq"], unique=False)
    op.create_table(
        "session",
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("account_id", sa.String(length=40), nullable=False),
        sa.Column("expires_at", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["account_id"], ["account.id"], name=op.f("fk_session_account_id")),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_session")),
    )
    op.create_index(op.f("ix_session_account_id"), "session", ["account_id"], unique=False)
    op.create_table(
        "formula_item",
        sa.Column("formula_id", sa.String(length=40), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("phase", sa.String(length=200), nullable=False),
        sa.Column("material_key", sa.String(length=200), nullable=False),
        sa.Column("percent", sa.Float(precision=53), nullable=True),
        sa.Column("core", sa.String(length=200), nullable=False),
        sa.Column("coating", sa.String(length=200), nullable=False),
        sa.ForeignKeyConstraint(
            ["event_seq"], ["event.seq"], name=op.f("fk_formula_item_event_seq")
        ),
        sa.ForeignKeyConstraint(
            ["formula_id"], ["formula.id"], name=op.f("fk_formula_item_formula_id")
        ),
        sa.PrimaryKeyConstraint("formula_id", "position", name=op.f("pk_formula_item")),
    )
    op.create_index(op.f("ix_formula_item_coating"), "formula_item", ["coating"], unique=False)
    op.create_index(op.f("ix_formula_item_event_seq"), "formula_item", ["event_seq"], unique=False)
    op.create_index(
        op.f("ix_formula_item_material_key_formula_id"),
        "formula_item",
        ["material_key", "formula_id"],
        unique=False,
    )
    op.create_table(
        "prediction",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.Column("formula_id", sa.String(length=40), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("model", sa.String(length=200), nullable=False),
        sa.Column("software", sa.String(length=200), nullable=False),
        sa.Column("made_on", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_prediction_event_seq")),
        sa.ForeignKeyConstraint(
            ["formula_id"], ["formula.id"], name=op.f("fk_prediction_formula_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_prediction")),
        sa.UniqueConstraint("formula_id", "number", name=op.f("uq_prediction_formula_id_number")),
    )
    op.create_index(op.f("ix_prediction_event_seq"), "prediction", ["event_seq"], unique=False)
    op.create_index(op.f("ix_prediction_formula_id"), "prediction", ["formula_id"], unique=False)
    op.create_table(
        "trial",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.Column("code", sa.String(length=200), nullable=False),
        sa.Column("formula_id", sa.String(length=40), nullable=False),
        sa.Column("made_on", sa.String(length=32), nullable=False),
        sa.Column("made_by", sa.String(length=200), nullable=False),
        sa.Column("batch_kg", sa.Float(precision=53), nullable=True),
        sa.Column("process", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_trial_event_seq")),
        sa.ForeignKeyConstraint(["formula_id"], ["formula.id"], name=op.f("fk_trial_formula_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_trial")),
        sa.UniqueConstraint("code", name=op.f("uq_trial_code")),
    )
    op.create_index(op.f("ix_trial_event_seq"), "trial", ["event_seq"], unique=False)
    op.create_index(op.f("ix_trial_formula_id"), "trial", ["formula_id"], unique=False)
    op.create_index(op.f("ix_trial_made_on"), "trial", ["made_on"], unique=False)
    op.create_table(
        "prediction_value",
        sa.Column("prediction_id", sa.String(length=40), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("quantity", sa.String(length=200), nullable=False),
        sa.Column("median", sa.Float(precision=53), nullable=True),
        sa.Column("low", sa.Float(precision=53), nullable=True),
        sa.Column("high", sa.Float(precision=53), nullable=True),
        sa.Column("unit", sa.String(length=200), nullable=False),
        sa.ForeignKeyConstraint(
            ["event_seq"], ["event.seq"], name=op.f("fk_prediction_value_event_seq")
        ),
        sa.ForeignKeyConstraint(
            ["prediction_id"], ["prediction.id"], name=op.f("fk_prediction_value_prediction_id")
        ),
        sa.PrimaryKeyConstraint("prediction_id", "position", name=op.f("pk_prediction_value")),
    )
    op.create_index(
        op.f("ix_prediction_value_event_seq"), "prediction_value", ["event_seq"], unique=False
    )
    op.create_table(
        "result",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Text(), nullable=False),
        sa.Column("trial_id", sa.String(length=40), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=200), nullable=False),
        sa.Column("measured_on", sa.String(length=32), nullable=False),
        sa.Column("method", sa.String(length=200), nullable=False),
        sa.Column("software", sa.String(length=200), nullable=False),
        sa.Column("valid", sa.Integer(), nullable=False),
        sa.Column("file_name", sa.String(length=200), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=True),
        sa.Column("evaluation", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["event_seq"], ["event.seq"], name=op.f("fk_result_event_seq")),
        sa.ForeignKeyConstraint(["sha256"], ["blob.sha256"], name=op.f("fk_result_sha256")),
        sa.ForeignKeyConstraint(["trial_id"], ["trial.id"], name=op.f("fk_result_trial_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_result")),
        sa.UniqueConstraint("trial_id", "number", name=op.f("uq_result_trial_id_number")),
    )
    op.create_index(op.f("ix_result_event_seq"), "result", ["event_seq"], unique=False)
    op.create_index(op.f("ix_result_sha256"), "result", ["sha256"], unique=False)
    op.create_index(op.f("ix_result_trial_id"), "result", ["trial_id"], unique=False)
    op.create_table(
        "trial_deviation",
        sa.Column("trial_id", sa.String(length=40), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("decision", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["event_seq"], ["event.seq"], name=op.f("fk_trial_deviation_event_seq")
        ),
        sa.ForeignKeyConstraint(
            ["trial_id"], ["trial.id"], name=op.f("fk_trial_deviation_trial_id")
        ),
        sa.PrimaryKeyConstraint("trial_id", "position", name=op.f("pk_trial_deviation")),
    )
    op.create_index(
        op.f("ix_trial_deviation_event_seq"), "trial_deviation", ["event_seq"], unique=False
    )
    op.create_table(
        "trial_weight",
        sa.Column("trial_id", sa.String(length=40), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("phase", sa.String(length=200), nullable=False),
        sa.Column("material_key", sa.String(length=200), nullable=False),
        sa.Column("lot_id", sa.String(length=40), nullable=True),
        sa.Column("target_g", sa.Float(precision=53), nullable=True),
        sa.Column("actual_g", sa.Float(precision=53), nullable=True),
        sa.ForeignKeyConstraint(
            ["event_seq"], ["event.seq"], name=op.f("fk_trial_weight_event_seq")
        ),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_trial_weight_lot_id")),
        sa.ForeignKeyConstraint(["trial_id"], ["trial.id"], name=op.f("fk_trial_weight_trial_id")),
        sa.PrimaryKeyConstraint("trial_id", "position", name=op.f("pk_trial_weight")),
    )
    op.create_index(op.f("ix_trial_weight_event_seq"), "trial_weight", ["event_seq"], unique=False)
    op.create_index(
        op.f("ix_trial_weight_lot_id_trial_id"),
        "trial_weight",
        ["lot_id", "trial_id"],
        unique=False,
    )
    op.create_index(
        op.f("ix_trial_weight_material_key_trial_id"),
        "trial_weight",
        ["material_key", "trial_id"],
        unique=False,
    )
    op.create_table(
        "result_value",
        sa.Column("result_id", sa.String(length=40), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("event_seq", sa.BigInteger(), nullable=False),
        sa.Column("quantity", sa.String(length=200), nullable=False),
        sa.Column("value", sa.Float(precision=53), nullable=True),
        sa.Column("low", sa.Float(precision=53), nullable=True),
        sa.Column("high", sa.Float(precision=53), nullable=True),
        sa.Column("unit", sa.String(length=200), nullable=False),
        sa.ForeignKeyConstraint(
            ["event_seq"], ["event.seq"], name=op.f("fk_result_value_event_seq")
        ),
        sa.ForeignKeyConstraint(
            ["result_id"], ["result.id"], name=op.f("fk_result_value_result_id")
        ),
        sa.PrimaryKeyConstraint("result_id", "position", name=op.f("pk_result_value")),
    )
    op.create_index(op.f("ix_result_value_event_seq"), "result_value", ["event_seq"], unique=False)
