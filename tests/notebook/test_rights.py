"""Who may do what, tried through the writer: every noun, every role, both databases."""

from __future__ import annotations

import pytest

from tests.notebook.team import Team
from zincite.errors import NotAllowedError
from zincite.notebook.rights import RIGHTS, ROLES
from zincite.notebook.schema import NOUNS
from zincite.notebook.store import Notebook
from zincite.notebook.verifying import verify
from zincite.notebook.writer import Writer

BENCH = {
    "material", "lot", "brief", "formula", "prediction", "trial", "result", "comment",
    "attachment", "mapping", "decision",
}  # fmt: skip
LEAD = {"project", "signature", "account"}


def row_of(noun: str, ids: dict[str, str]) -> dict[str, object]:
    """Return an invented row of a noun, over the things that are there."""
    row: dict[str, object] = {}
    for column in NOUNS[noun].table.c:
        name = column.name
        if name in ("id", "event_seq", "revision", "withdrawn") or column.nullable:
            continue
        if column.foreign_keys and name.endswith("_id"):
            row[name] = ids[name.removesuffix("_id")]
        else:
            row[name] = 1 if column.type.python_type is int else f"some {name}"
    return row


@pytest.fixture
def ids(notebook: Notebook, team: Team) -> dict[str, str]:
    made: dict[str, str] = {}
    with notebook.write(team.lead) as writer:
        for noun in ("project", "formula", "trial"):
            made[noun] = writer.add(noun, row_of(noun, made))
    return made


def add(writer: Writer, kind: str, ids: dict[str, str], /, **changed: object) -> str:
    row = {**row_of(kind, ids), **changed}
    for name in ("code", "name", "fingerprint", "key"):
        if name in row and name not in changed:
            row[name] = f"new {name}"
    if row.get("sha256") == "some sha256":
        row["sha256"] = writer.blob(b"raw")
    return writer.add(kind, row)


def test_every_noun_has_its_right() -> None:
    assert set(NOUNS) == BENCH | LEAD
    for noun in NOUNS:
        assert RIGHTS[noun] == (("bench", "lead") if noun in BENCH else ("lead",))
    assert all(set(roles) <= set(ROLES) and "lead" in roles for roles in RIGHTS.values())


@pytest.mark.parametrize("role", ROLES)
def test_what_a_role_may_add(
    notebook: Notebook, team: Team, ids: dict[str, str], role: str
) -> None:
    for noun in NOUNS:
        allowed = role == "lead" or (role == "bench" and noun in BENCH)
        before = notebook.head()
        if allowed:
            with notebook.write(team.of(role)) as writer:
                add(writer, noun, ids)
            assert notebook.head()[0] == before[0] + 1
            continue
        roles = "bench or lead" if noun in BENCH else "lead"
        name = "reader" if role == "read" else role
        sentence = (
            rf"^{name}\.example \(role {role}\) may not add an? {noun}, expected the role {roles}$"
        )
        with (
            pytest.raises(NotAllowedError, match=sentence),
            notebook.write(team.of(role)) as writer,
        ):
            writer.add(noun, row_of(noun, ids))
        assert notebook.head() == before
    assert verify(notebook).holds


def test_a_reader_keeps_no_file(notebook: Notebook, team: Team) -> None:
    with (
        pytest.raises(NotAllowedError, match="may not add a kept file"),
        notebook.write(team.reader) as writer,
    ):
        writer.blob(b"raw")


@pytest.mark.parametrize("verdict", ["release", "drop"])
def test_only_a_lead_releases_and_drops(
    notebook: Notebook, team: Team, ids: dict[str, str], verdict: str
) -> None:
    about = {"noun": "formula", "subject": ids["formula"]}
    sentence = rf"bench\.example \(role bench\) may not add a decision to {verdict}, expected"
    with (
        pytest.raises(NotAllowedError, match=sentence),
        notebook.write(team.bench) as writer,
    ):
        add(writer, "decision", ids, verdict=verdict, **about)
    with notebook.write(team.bench) as writer:
        own = add(writer, "decision", ids, verdict="repeat", **about)
    with notebook.write(team.lead) as writer:
        final = add(writer, "decision", ids, verdict=verdict, **about)
    for subject, new in ((own, verdict), (final, "repeat")):
        with (
            pytest.raises(NotAllowedError, match=f"may not change a decision to {verdict}"),
            notebook.write(team.bench) as writer,
        ):
            writer.change("decision", subject, {"verdict": new}, revision=1)
    with notebook.write(team.lead) as writer:
        writer.change("decision", final, {"verdict": "repeat"}, revision=1)


def test_the_bench_withdraws_its_own_things_only(
    notebook: Notebook, team: Team, ids: dict[str, str]
) -> None:
    with notebook.write(team.bench) as writer:
        first = add(writer, "lot", ids, code="L1")
        second = add(writer, "lot", ids, code="L2")
    with notebook.write(team.other) as writer:  # changing is team work
        writer.change("lot", first, {"note": "box is open"}, revision=1)
    with (
        pytest.raises(NotAllowedError, match="may not withdraw the lot of somebody else, expected"),
        notebook.write(team.other) as writer,
    ):
        writer.withdraw("lot", first, "spilled", revision=2)
    with notebook.write(team.bench) as writer:
        writer.withdraw("lot", first, "spilled", revision=2)
    with notebook.write(team.lead) as writer:
        writer.withdraw("lot", second, "recalled", revision=1)
    assert verify(notebook).holds


def test_a_role_cannot_ride_on_a_change_of_the_own_password(notebook: Notebook, team: Team) -> None:
    with notebook.read() as connection:
        from zincite.notebook.accounts import find_account

        found = find_account(connection, "bench.example")
    with (
        pytest.raises(NotAllowedError, match="may not change an account"),
        notebook.write(team.bench) as writer,
    ):
        writer.change(
            "account",
            found.id,
            {"role": "lead"},
            revision=found.revision,
            kind="password changed",
        )


def test_what_was_refused_leaves_nothing(
    notebook: Notebook, team: Team, ids: dict[str, str]
) -> None:
    before = notebook.head()
    with pytest.raises(NotAllowedError), notebook.write(team.bench) as writer:  # noqa: PT012
        add(writer, "comment", ids)
        add(writer, "project", ids)
    assert notebook.head() == before
