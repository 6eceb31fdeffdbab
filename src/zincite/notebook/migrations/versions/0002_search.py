"""Words of each subject, and the index of the database over them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_SQLITE = (
    "CREATE VIRTUAL TABLE search_index USING fts5(folded, content='search_text', "
    "content_rowid='id', tokenize=\"unicode61 remove_diacritics 0\", prefix='2 3 4')",
    "CREATE TRIGGER search_text_added AFTER INSERT ON search_text BEGIN "
    "INSERT INTO search_index(rowid, folded) VALUES (new.id, new.folded); END",
    "CREATE TRIGGER search_text_gone AFTER DELETE ON search_text BEGIN "
    "INSERT INTO search_index(search_index, rowid, folded) "
    "VALUES ('delete', old.id, old.folded); END",
)
_POSTGRES = (
    # each word begins with a letter: PostgreSQL would read 0e0a as the number 0e0 and a word
    "ALTER TABLE search_text ADD COLUMN vector tsvector "
    "GENERATED ALWAYS AS (to_tsvector('simple', 'x' || replace(folded, ' ', ' x'))) STORED",
    "CREATE INDEX ix_search_text_vector ON search_text USING gin (vector)",
    "CREATE INDEX ix_search_text_vector_newest ON search_text (noun, id)",
    # words that seldom meet are asked of the index, words that often do are met soon on the way
    # back from the newest; PostgreSQL cannot know which is which, so each way has its function
    "CREATE FUNCTION search_by_index(asked tsquery, most integer) RETURNS SETOF integer "
    "LANGUAGE sql STABLE SET enable_seqscan = off SET enable_indexscan = off AS "
    "$$ SELECT id FROM search_text WHERE vector @@ asked LIMIT most $$",
    "CREATE FUNCTION search_from_newest(asked tsquery, kind text, most integer) "
    "RETURNS SETOF integer LANGUAGE plpgsql STABLE SET enable_seqscan = off "
    "SET enable_bitmapscan = off AS $$ BEGIN RETURN QUERY EXECUTE format("
    "'SELECT id FROM search_text WHERE noun = %L AND vector @@ $1 ORDER BY id DESC LIMIT $2', kind)"
    " USING asked, most; END $$",
)


def upgrade() -> None:
    """Make the table of words and its index."""
    op.create_table(
        "search_text",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("noun", sa.String(length=40), nullable=False),
        sa.Column("subject", sa.String(length=40), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("folded", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_search_text")),
        sa.UniqueConstraint("noun", "subject", name=op.f("uq_search_text_noun_subject")),
    )
    sqlite = op.get_bind().dialect.name == "sqlite"
    for statement in _SQLITE if sqlite else _POSTGRES:
        op.execute(statement)
