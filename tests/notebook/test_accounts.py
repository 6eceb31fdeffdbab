"""Accounts: the first is a lead's, the last lead stays, passwords stand outside the chain."""

from __future__ import annotations

import pytest
import sqlalchemy as sa

from tests.notebook.team import PASSWORD, Team
from zincite.errors import ConflictError, InputError, NotAllowedError, NotebookError
from zincite.notebook.account_changes import (
    activate,
    add_account,
    change_password,
    change_role,
    deactivate,
)
from zincite.notebook.accounts import accounts, find_account, is_personal
from zincite.notebook.passwords import check_password, hashed, is_outdated, matches
from zincite.notebook.schema import credential, event, metadata
from zincite.notebook.sessions import account_of, login
from zincite.notebook.store import Notebook
from zincite.notebook.verifying import verify

NEW = "another for tests 2"


def project(notebook: Notebook, who: str, code: str = "P") -> str:
    with notebook.write(who) as writer:
        return writer.add("project", {"code": code, "name": "Fluid", "note": ""})


def test_without_accounts_any_name_may_write(notebook: Notebook) -> None:
    project(notebook, "anybody")
    with notebook.read() as connection:
        assert is_personal(connection)
        assert accounts(connection) == ()


def test_the_first_account_is_a_leads(notebook: Notebook) -> None:
    for role in ("read", "bench"):
        with pytest.raises(InputError, match=f"first account has the role {role}, expected lead"):
            add_account(notebook, "x", "a", full_name="A", role=role, password=PASSWORD)
    add_account(
        notebook, "x", "A.Example", full_name=" A.  Example ", role="lead", password=PASSWORD
    )
    with notebook.read() as connection:
        (made,) = accounts(connection)
    assert (made.name, made.full_name, made.role, made.active, made.has_password) == (
        "a.example", "A. Example", "lead", True, True,
    )  # fmt: skip
    assert verify(notebook).holds


def test_from_then_on_a_given_name_writes_nothing(notebook: Notebook, team: Team) -> None:
    before = notebook.head()
    with pytest.raises(NotAllowedError, match=r"^someone: this notebook has accounts .* login`$"):
        project(notebook, "someone")
    with pytest.raises(NotAllowedError, match="nobody is logged in"):
        project(notebook, str(team.lead))
    assert notebook.head() == before


@pytest.mark.parametrize("name", ["", "Ä", "a b", "-a", "a" * 65, "a\nb"])
def test_odd_account_names_are_refused(notebook: Notebook, name: str) -> None:
    with pytest.raises(InputError, match="expected 1 to 64 of the letters"):
        add_account(notebook, "x", name, full_name="A", role="lead", password=PASSWORD)


def test_unknown_roles_full_names_and_names_in_use_are_refused(
    notebook: Notebook, team: Team
) -> None:
    with pytest.raises(InputError, match="role 'boss', expected one of read, bench, lead"):
        add_account(notebook, team.lead, "b", full_name="B", role="boss", password=PASSWORD)
    with pytest.raises(InputError, match="no full name"):
        add_account(notebook, team.lead, "b", full_name=" ", role="lead", password=PASSWORD)
    with pytest.raises(InputError, match=r"bench\.example is there already"):
        add_account(
            notebook, team.lead, "BENCH.example", full_name="B", role="lead", password=PASSWORD
        )
    with notebook.read() as connection, pytest.raises(NotebookError, match="no account is named"):
        find_account(connection, "nobody")


@pytest.mark.parametrize(
    ("password", "message"),
    [
        ("", "has 0 characters, expected at least 12"),
        ("elevenchars", "has 11 characters, expected at least 12"),
        ("a" * 1001, "expected at most 1000"),
        ("aaaabbbbccccdddd", "4 different characters, expected at least 5"),
        ("my a.example pass", "holds the account's name"),
        ("two lines\nof text", "line breaks"),
    ],
)
def test_weak_passwords_are_refused_unseen(password: str, message: str) -> None:
    with pytest.raises(InputError, match=message) as refused:
        check_password(password, "a.example")
    assert not password or password not in str(refused.value)


def test_a_password_is_the_same_however_its_accents_are_typed() -> None:
    # "e" with acute, composed and as "e" + combining accent (Unicode normalisation form NFKC)
    assert matches("caf\u00e9 by the sea", hashed("cafe\u0301 by the sea"))
    assert not matches("cafe by the sea", hashed("caf\u00e9 by the sea"))
    assert not matches("anything at all", "no hash")


def test_hashes_are_argon2id_and_salted() -> None:
    one, two = hashed(PASSWORD), hashed(PASSWORD)
    assert one != two
    assert one.startswith("$argon2id$")
    assert not is_outdated(one)


def test_no_password_or_hash_is_in_the_chain(notebook: Notebook, team: Team) -> None:
    change_password(notebook, team.bench, "bench.example", NEW, own_password=PASSWORD)
    with notebook.read() as connection:
        kept = connection.execute(sa.select(credential.c.password_hash)).scalars().all()
        bodies = " ".join(connection.execute(sa.select(event.c.body)).scalars())
        kinds = set(connection.execute(sa.select(event.c.kind)).scalars())
        texts = " ".join(
            str(row)
            for table in metadata.sorted_tables
            for row in connection.execute(table.select()).all()
        )
    assert len(kept) == 4
    assert "argon2" not in bodies
    assert not any(word in texts for word in (PASSWORD, NEW, team.lead.token, team.bench.token))
    assert "account password changed" in kinds
    assert verify(notebook).holds


def test_the_last_active_lead_stays(notebook: Notebook, team: Team) -> None:
    with pytest.raises(NotAllowedError, match="is the last active lead"):
        deactivate(notebook, team.lead, "lead.example", "left")
    with pytest.raises(NotAllowedError, match="is the last active lead"):
        change_role(notebook, team.lead, "lead.example", "bench")
    change_role(notebook, team.lead, "bench.example", "lead")
    deactivate(notebook, team.lead, "lead.example", "left")
    with pytest.raises(NotAllowedError, match=r"bench\.example is the last active lead"):
        change_role(notebook, team.bench, "bench.example", "read")
    assert verify(notebook).holds


def test_a_deactivated_account_can_do_nothing_and_keeps_its_history(
    notebook: Notebook, team: Team
) -> None:
    with pytest.raises(InputError, match="no reason"):
        deactivate(notebook, team.lead, "bench.example", " ")
    closed = deactivate(notebook, team.lead, "bench.example", "left the laboratory")
    assert (closed.active, closed.has_password) == (False, False)
    with pytest.raises(NotAllowedError, match="session has ended"):
        project(notebook, team.bench)
    with pytest.raises(NotAllowedError, match="name or password is wrong"):
        login(notebook, "bench.example", PASSWORD)
    with pytest.raises(InputError, match="inactive already"):
        deactivate(notebook, team.lead, "bench.example", "again")
    with pytest.raises(InputError, match="is inactive, expected an active one"):
        change_password(notebook, team.lead, "bench.example", NEW, own_password=PASSWORD)
    assert activate(notebook, team.lead, "bench.example", NEW).active
    with pytest.raises(InputError, match="active already"):
        activate(notebook, team.lead, "bench.example", NEW)
    assert login(notebook, "bench.example", NEW).account.role == "bench"
    assert verify(notebook).holds


def test_accounts_are_never_withdrawn(notebook: Notebook, team: Team) -> None:
    with notebook.read() as connection:
        found = find_account(connection, "bench.example")
    with (
        pytest.raises(NotAllowedError, match="expected to deactivate it"),
        notebook.write(team.lead) as writer,
    ):
        writer.withdraw("account", found.id, "gone", revision=found.revision)


def test_a_password_is_changed_with_the_present_one(notebook: Notebook, team: Team) -> None:
    with pytest.raises(NotAllowedError, match="name or password is wrong"):
        change_password(notebook, team.bench, "bench.example", NEW, own_password="wrong one here")
    change_password(notebook, team.bench, "bench.example", NEW, own_password=PASSWORD)
    assert account_of(notebook, team.bench.token) is None  # its sessions ended
    with pytest.raises(NotAllowedError, match="name or password is wrong"):
        login(notebook, "bench.example", PASSWORD)
    assert login(notebook, "bench.example", NEW)


def test_only_a_lead_changes_the_password_of_another(notebook: Notebook, team: Team) -> None:
    with pytest.raises(
        NotAllowedError, match=r"bench\.example \(role bench\) may not change an acc"
    ):
        change_password(notebook, team.bench, "lead.example", NEW, own_password=PASSWORD)
    change_password(notebook, team.lead, "reader.example", NEW, own_password=PASSWORD)
    assert login(notebook, "reader.example", NEW)


def test_two_leads_that_change_the_same_account_get_a_conflict(
    notebook: Notebook, team: Team
) -> None:
    change_role(notebook, team.lead, "other.example", "lead")
    second = login(notebook, "other.example", PASSWORD).who
    with notebook.read() as connection:
        seen = find_account(connection, "reader.example").revision
    change_role(notebook, team.lead, "reader.example", "bench", revision=seen)
    with pytest.raises(
        ConflictError,
        match=r"account reader\.example was changed by lead\.example at .* expected revision 1 as "
        "you opened it: open it again",
    ):
        change_role(notebook, second, "reader.example", "lead", revision=seen)
    with pytest.raises(ConflictError):
        deactivate(notebook, second, "reader.example", "left", revision=seen)


def test_a_restored_notebook_without_passwords_lets_only_a_leads_be_set(
    notebook: Notebook, team: Team
) -> None:
    with notebook.transaction() as connection:  # as after an archive, which has no passwords
        connection.execute(metadata.tables["session"].delete())
        connection.execute(credential.delete())
    for who in ("someone", team.lead):
        with pytest.raises(NotAllowedError, match="no account of this notebook has a password"):
            project(notebook, who)
    with pytest.raises(NotAllowedError, match="no account has a password yet"):
        login(notebook, "lead.example", PASSWORD)
    with pytest.raises(NotAllowedError, match="no account of this notebook has a password"):
        change_password(notebook, "someone", "bench.example", NEW)
    change_password(notebook, "someone", "lead.example", NEW)
    with pytest.raises(NotAllowedError, match="nobody is logged in"):
        change_password(notebook, "someone", "lead.example", PASSWORD)
    project(notebook, login(notebook, "lead.example", NEW).who)
    assert verify(notebook).holds


def test_inside_the_chain_a_tampered_role_is_found(notebook: Notebook, team: Team) -> None:
    with notebook.engine.begin() as connection:
        connection.execute(
            sa.text("UPDATE account SET role = 'lead' WHERE name = 'reader.example'")
        )
    found = verify(notebook)
    assert [fault.found for fault in found.faults] == ["role differs from what was written"]
