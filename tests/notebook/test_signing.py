"""Signatures: over one revision's content, by somebody else than the author, for ever readable."""

from __future__ import annotations

from pathlib import Path

import pytest
import sqlalchemy as sa

from tests.notebook.team import PASSWORD, Team
from zincite.errors import ConflictError, InputError, NotAllowedError, NotebookError
from zincite.notebook.account_changes import change_password, change_role
from zincite.notebook.archiving import archive_notebook
from zincite.notebook.schema import signature
from zincite.notebook.sessions import login
from zincite.notebook.signatures import Signature, all_signatures, signatures_of
from zincite.notebook.signing import sign, to_sign, withdraw_signature
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.unarchiving import restore_archive
from zincite.notebook.verifying import verify


def formula(notebook: Notebook, who: str, lead: str = "") -> str:
    """Write a project, a formula version K-07@1 and a lot L-1."""
    with notebook.write(lead or who) as writer:
        project = writer.add("project", {"code": "P", "name": "Fluid", "note": ""})
    items = [
        {"phase": "A", "material_key": "water", "percent": 60, "core": "", "coating": ""},
        {"phase": "B", "material_key": "zinc-oxide", "percent": 40.0, "core": "", "coating": ""},
    ]
    with notebook.write(who) as writer:
        lot = {"material_key": "zinc-oxide", "supplier": "", "received_on": "", "expires_on": ""}
        writer.add("lot", {"code": "L-1", "note": "", **lot})
        row = {"project_id": project, "code": "K-07", "number": 1, "parent_id": None}
        texts = {"name": "Cream", "reason": "first", "toml": "[formula]"}
        return writer.add("formula", {**row, **texts}, {"formula_item": items})


def signed(
    notebook: Notebook, who: str, noun: str, code: str, meaning: str, password: str = ""
) -> Signature:
    with notebook.read() as connection:
        seen = to_sign(connection, noun, code)
    return sign(notebook, who, seen, meaning, password=password)


def now(notebook: Notebook, noun: str, code: str) -> tuple[Signature, ...]:
    with notebook.read() as connection:
        return signatures_of(connection, noun, to_sign(connection, noun, code).subject)


def test_in_a_personal_notebook_a_given_name_signs(notebook: Notebook) -> None:
    formula(notebook, "A. Example")
    made = signed(notebook, "A. Example", "formula", "K-07@1", "  Approved. ")
    assert (made.full_name, made.meaning, made.proven) == ("A. Example", "approved", False)
    assert (made.name, made.of_revision, made.state) == ("K-07@1", 1, "unchanged")
    assert made.since == "signed content unchanged"
    assert verify(notebook).holds


def test_a_lead_signs_with_the_password_once_more(notebook: Notebook, team: Team) -> None:
    formula(notebook, team.bench, team.lead)
    for wrong in ("", "not the password"):
        with pytest.raises(NotAllowedError, match="name or password is wrong"):
            signed(notebook, team.lead, "formula", "K-07@1", "approved", wrong)
    made = signed(notebook, team.lead, "formula", "K-07@1", "approved", PASSWORD)
    assert (made.signed_by, made.full_name, made.proven) == ("lead.example", "L. Example", True)
    assert made.at.endswith("+00:00")
    with pytest.raises(InputError, match=r"signed as 'approved' by L\. Example already"):
        signed(notebook, team.lead, "formula", "K-07@1", "approved", PASSWORD)
    signed(notebook, team.lead, "formula", "K-07@1", "for the pilot batch only", PASSWORD)
    meanings = [one.meaning for one in now(notebook, "formula", "K-07@1")]
    assert meanings == ["approved", "for the pilot batch only"]
    assert verify(notebook).holds


@pytest.mark.parametrize("role", ["bench", "read"])
def test_other_roles_do_not_sign(notebook: Notebook, team: Team, role: str) -> None:
    formula(notebook, team.lead)
    with pytest.raises(NotAllowedError, match="may not add a signature, expected the role lead"):
        signed(notebook, team.of(role), "formula", "K-07@1", "made", PASSWORD)
    with pytest.raises(NotAllowedError, match="nobody is logged in"):
        signed(notebook, "lead.example", "formula", "K-07@1", "made", PASSWORD)


@pytest.mark.parametrize("meaning", ["reviewed", "APPROVED", "released."])
def test_nobody_approves_the_own_work(notebook: Notebook, team: Team, meaning: str) -> None:
    formula(notebook, team.lead)
    word = meaning.lower().rstrip(".")
    with pytest.raises(
        NotAllowedError,
        match=rf"lead\.example wrote formula K-07@1 and may not sign it as {word}, expected",
    ):
        signed(notebook, team.lead, "formula", "K-07@1", meaning, PASSWORD)
    assert signed(notebook, team.lead, "formula", "K-07@1", "written by me", PASSWORD)
    change_role(notebook, team.lead, "other.example", "lead")
    second = login(notebook, "other.example", PASSWORD).who
    assert signed(notebook, second, "formula", "K-07@1", meaning, PASSWORD).meaning == word


def test_who_changed_a_thing_is_an_author_too(notebook: Notebook, team: Team) -> None:
    formula(notebook, team.bench, team.lead)
    with notebook.read() as connection:
        lot = to_sign(connection, "lot", "L-1")
    with notebook.write(team.lead) as writer:
        writer.change("lot", lot.subject, {"note": "opened"}, revision=1)
    with pytest.raises(NotAllowedError, match="wrote lot L-1"):
        signed(notebook, team.lead, "lot", "L-1", "reviewed", PASSWORD)


def test_a_changed_or_withdrawn_thing_says_what_was_signed(notebook: Notebook) -> None:
    formula(notebook, "A. Example")
    signed(notebook, "A. Example", "lot", "L-1", "reviewed")
    with notebook.read() as connection:
        seen = to_sign(connection, "lot", "L-1")
    with notebook.write("B. Example") as writer:
        writer.change("lot", seen.subject, {"note": "opened"}, revision=1)
    (first,) = now(notebook, "lot", "L-1")
    assert first.state == "changed"
    assert first.since == "signed as of revision 1; changed since then, now revision 2"
    with pytest.raises(ConflictError, match=r"lot L-1 was changed by B\. Example at .*revision 2"):
        sign(notebook, "A. Example", seen, "approved")
    signed(notebook, "A. Example", "lot", "L-1", "reviewed")
    with notebook.write("B. Example") as writer:
        writer.withdraw("lot", seen.subject, "spilled", revision=2)
    states = [(one.of_revision, one.state, one.since) for one in now(notebook, "lot", "L-1")]
    assert states == [
        (1, "withdrawn", "signed as of revision 1; withdrawn since then: spilled"),
        (2, "withdrawn", "signed as of revision 2; withdrawn since then: spilled"),
    ]
    with pytest.raises(InputError, match=r"lot L-1 is withdrawn \(spilled\), expected one that"):
        signed(notebook, "A. Example", "lot", "L-1", "released")
    with notebook.read() as connection:
        assert all_signatures(connection) == now(notebook, "lot", "L-1")
    assert verify(notebook).holds


def test_a_withdrawn_signature_stays_readable_and_can_be_given_again(notebook: Notebook) -> None:
    formula(notebook, "A. Example")
    first = signed(notebook, "A. Example", "formula", "K-07@1", "approved")
    with pytest.raises(NotebookError, match="no signature is called 'signature-0'"):
        withdraw_signature(notebook, "A. Example", "signature-0", "wrong version")
    made = withdraw_signature(notebook, "A. Example", first.id[:20], "wrong version")
    assert made.withdrawn == "wrong version"
    (shown,) = now(notebook, "formula", "K-07@1")
    assert (shown.withdrawn, shown.state) == ("wrong version", "unchanged")
    signed(notebook, "A. Example", "formula", "K-07@1", "approved")
    assert [one.withdrawn for one in now(notebook, "formula", "K-07@1")] == ["wrong version", ""]


@pytest.mark.parametrize(
    "tampering",
    [
        "UPDATE formula SET toml = '[other]'",
        "UPDATE formula_item SET percent = 41 WHERE position = 1",
        "DELETE FROM formula_item WHERE position = 1",
    ],
)
def test_tampered_content_is_not_what_was_signed(notebook: Notebook, tampering: str) -> None:
    formula(notebook, "A. Example")
    signed(notebook, "A. Example", "formula", "K-07@1", "approved")
    with notebook.engine.begin() as connection:
        connection.execute(sa.text(tampering))
    (shown,) = now(notebook, "formula", "K-07@1")
    assert shown.state == "false"
    assert shown.since == "what is kept of revision 1 is not what was signed"
    with notebook.read() as connection:
        assert all_signatures(connection) == (shown,)


def test_a_forged_signature_of_an_older_revision_is_false(notebook: Notebook) -> None:
    formula(notebook, "A. Example")
    signed(notebook, "A. Example", "lot", "L-1", "approved")
    with notebook.read() as connection:
        seen = to_sign(connection, "lot", "L-1")
    with notebook.write("A. Example") as writer:
        writer.change("lot", seen.subject, {"note": "opened"}, revision=1)
    assert now(notebook, "lot", "L-1")[0].state == "changed"
    with notebook.engine.begin() as connection:
        connection.execute(signature.update().values(content_hash="0" * 64))
    assert now(notebook, "lot", "L-1")[0].state == "false"
    assert not verify(notebook).holds


@pytest.mark.parametrize("meaning", ["", " \n", "x" * 201])
def test_a_signature_needs_a_meaning(notebook: Notebook, meaning: str) -> None:
    formula(notebook, "A. Example")
    with pytest.raises(InputError, match="meaning of the signature"):
        signed(notebook, "A. Example", "formula", "K-07@1", meaning)


def test_what_cannot_be_signed_says_so(notebook: Notebook) -> None:
    formula(notebook, "A. Example")
    with notebook.read() as connection:
        with pytest.raises(InputError, match="'signature' is no noun, expected one of proj"):
            to_sign(connection, "signature", "x")
        with pytest.raises(InputError, match="'pancake' is no noun"):
            to_sign(connection, "pancake", "x")
        with pytest.raises(NotebookError, match=r"no formula is called 'K-08@1'"):
            to_sign(connection, "formula", "K-08@1")


def test_signatures_and_accounts_come_back_from_an_archive(
    notebook: Notebook, team: Team, tmp_path: Path
) -> None:
    formula(notebook, team.bench, team.lead)
    signed(notebook, team.lead, "formula", "K-07@1", "approved", PASSWORD)
    archive_notebook(notebook, tmp_path / "lab.zip")
    restore_archive(tmp_path / "lab.zip", tmp_path / "back.zincite")
    with open_notebook(tmp_path / "back.zincite") as back:
        assert now(back, "formula", "K-07@1") == now(notebook, "formula", "K-07@1")
        assert verify(back).holds
        with pytest.raises(NotAllowedError, match="no account of this notebook has a password"):
            signed(back, "L. Example", "formula", "K-07@1", "released")
        change_password(back, "L. Example", "lead.example", "another for tests 2")
        again = login(back, "lead.example", "another for tests 2").who
        assert signed(back, again, "formula", "K-07@1", "released", "another for tests 2").proven
        assert verify(back).holds
