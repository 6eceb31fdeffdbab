"""Logging in: sessions end, tokens are not stored, wrong passwords cost time in all processes."""

from __future__ import annotations

import datetime
import hashlib
import subprocess
import sys
import time
from pathlib import Path

import pytest
import sqlalchemy as sa
from argon2 import PasswordHasher

from tests.notebook.team import PASSWORD, Team
from zincite.errors import NotAllowedError
from zincite.notebook import passwords
from zincite.notebook.account_changes import add_account
from zincite.notebook.login import Login
from zincite.notebook.schema import credential, login_attempt, session
from zincite.notebook.sessions import account_of, confirm, login, logout
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.verifying import verify

WRONG = "not the password"


def trial_note(notebook: Notebook, who: str) -> None:
    with notebook.write(who) as writer:
        writer.add("comment", {"noun": "project", "subject": "x", "text": "seen"})


def ago(seconds: float) -> str:
    at = datetime.datetime.now(datetime.UTC) - datetime.timedelta(seconds=seconds)
    return at.isoformat(timespec="microseconds")


def last_attempt(notebook: Notebook, at: str) -> None:
    with notebook.transaction() as connection:
        connection.execute(login_attempt.update().values(last_at=at))


def test_a_session_lasts_twelve_hours(notebook: Notebook, team: Team) -> None:
    made = login(notebook, " Bench.Example ", PASSWORD)
    found = account_of(notebook, made.token)
    assert found is not None
    who, ends = found
    assert (who.name, who.role) == ("bench.example", "bench")
    left = datetime.datetime.fromisoformat(ends) - datetime.datetime.now(datetime.UTC)
    assert 11.9 * 3600 < left.total_seconds() <= 12 * 3600
    trial_note(notebook, made.who)


def test_only_the_hash_of_a_token_is_stored(notebook: Notebook, team: Team) -> None:
    with notebook.read() as connection:
        kept = set(connection.execute(sa.select(session.c.token_hash)).scalars())
    assert hashlib.sha256(team.bench.token.encode()).hexdigest() in kept
    assert len(team.bench.token) >= 43  # 256 random bits
    assert team.bench.token not in repr(login(notebook, "bench.example", PASSWORD)) + repr(team)


def test_the_hash_of_a_token_opens_nothing(notebook: Notebook, team: Team) -> None:
    with notebook.read() as connection:
        kept = connection.execute(sa.select(session.c.token_hash)).scalars().all()
    for stolen in kept:
        assert account_of(notebook, stolen) is None
        with pytest.raises(NotAllowedError, match="session has ended"):
            trial_note(notebook, Login("lead.example", stolen))


def test_a_session_is_of_one_account_only(notebook: Notebook, team: Team) -> None:
    with pytest.raises(NotAllowedError, match=r"lead\.example: the session has ended"):
        trial_note(notebook, Login("lead.example", team.bench.token))


def test_a_session_ends_by_logout_and_by_time(notebook: Notebook, team: Team) -> None:
    assert logout(notebook, team.other.token)
    assert not logout(notebook, team.other.token)
    with pytest.raises(NotAllowedError, match="session has ended"):
        trial_note(notebook, team.other)
    trial_note(notebook, team.bench)
    with notebook.transaction() as connection:
        connection.execute(session.update().values(expires_at=ago(1)))
    assert account_of(notebook, team.bench.token) is None
    with pytest.raises(NotAllowedError, match="session has ended, expected a new login"):
        trial_note(notebook, team.bench)
    login(notebook, "bench.example", PASSWORD)
    with notebook.read() as connection:  # a login takes those away that have ended
        count = connection.execute(sa.select(sa.func.count()).select_from(session)).scalar()
    assert count == 1


def test_a_role_counts_at_once(notebook: Notebook, team: Team) -> None:
    from zincite.notebook.account_changes import change_role

    trial_note(notebook, team.bench)
    change_role(notebook, team.lead, "bench.example", "read")
    with pytest.raises(
        NotAllowedError, match=r"bench\.example \(role read\) may not add a comment"
    ):
        trial_note(notebook, team.bench)


def test_a_personal_notebook_has_no_login(notebook: Notebook) -> None:
    with pytest.raises(NotAllowedError, match="has no accounts, expected a team's notebook"):
        login(notebook, "a", PASSWORD)
    trial_note(notebook, Login("a.example", "left over from another notebook"))


def test_unknown_names_and_wrong_passwords_read_the_same(notebook: Notebook, team: Team) -> None:
    said = set()
    for name in ("bench.example", "nobody.here.x"):
        with pytest.raises(NotAllowedError) as refused:
            login(notebook, name, WRONG)
        said.add(str(refused.value).replace(name, "NAME"))
    assert len(said) == 1


def test_unknown_names_take_as_long_as_wrong_passwords(tmp_path: Path) -> None:
    """With the library's own parameters; the least of some times, as other work only adds."""
    with open_notebook(tmp_path / "lab.zincite", create=True) as notebook:
        add_account(notebook, "x", "a.example", full_name="A", role="lead", password=PASSWORD)

        def least(name: str) -> float:
            times = []
            for _ in range(4):
                start = time.perf_counter()
                with pytest.raises(NotAllowedError, match="name or password is wrong"):
                    login(notebook, name, WRONG)
                times.append(time.perf_counter() - start)
            return min(times)

        assert 0.3 < least("b.example") / least("a.example") < 3.0


def test_after_five_wrong_passwords_one_waits(notebook: Notebook, team: Team) -> None:
    for name in ("bench.example", "nobody.here.x"):
        for _ in range(5):
            with pytest.raises(NotAllowedError, match="name or password is wrong"):
                login(notebook, name, WRONG)
        with pytest.raises(NotAllowedError, match=r"5 attempts .* expected the next one in 30 s"):
            login(notebook, name, WRONG)
    with pytest.raises(NotAllowedError, match="expected the next one in"):
        login(notebook, "bench.example", PASSWORD)  # not even the right one
    assert login(notebook, "other.example", PASSWORD)  # others are not held up
    last_attempt(notebook, ago(31))
    with pytest.raises(NotAllowedError, match="name or password is wrong"):
        login(notebook, "bench.example", WRONG)
    with pytest.raises(NotAllowedError, match=r"6 attempts .* expected the next one in 60 s"):
        login(notebook, "bench.example", PASSWORD)
    last_attempt(notebook, ago(61))
    assert login(notebook, "bench.example", PASSWORD)
    with pytest.raises(NotAllowedError, match="name or password is wrong"):
        login(notebook, "bench.example", WRONG)  # counted from one again


def test_the_wait_stays_under_a_quarter_of_an_hour_and_is_forgotten(
    notebook: Notebook, team: Team
) -> None:
    with pytest.raises(NotAllowedError, match="wrong"):
        login(notebook, "bench.example", WRONG)
    with notebook.transaction() as connection:
        connection.execute(login_attempt.update().values(failures=10_000, last_at=ago(1)))
    with pytest.raises(NotAllowedError, match=r"in (899|900) s"):
        login(notebook, "bench.example", PASSWORD)
    last_attempt(notebook, ago(-86400 * 365))  # the clock was wrong by a year
    assert login(notebook, "bench.example", PASSWORD)


def test_attempts_of_other_processes_count(notebook: Notebook, team: Team, where: str) -> None:
    program = (
        "import sys\n"
        "from zincite.errors import NotAllowedError\n"
        "from zincite.notebook.sessions import login\n"
        "from zincite.notebook.store import open_notebook\n"
        "book = open_notebook(sys.argv[1])\n"
        "for _ in range(3):\n"
        "    try:\n"
        "        login(book, 'bench.example', 'not the password')\n"
        "    except NotAllowedError as error:\n"
        "        print(error)\n"
    )
    running = [
        subprocess.Popen([sys.executable, "-c", program, where], stdout=subprocess.PIPE, text=True)
        for _ in range(3)
    ]
    said = [line for one in running for line in one.communicate(timeout=120)[0].splitlines()]
    assert len(said) == 9
    assert sum("name or password is wrong" in line for line in said) == 5
    assert sum("expected the next one in" in line for line in said) == 4


def test_names_of_failed_logins_are_not_readable(notebook: Notebook, team: Team) -> None:
    with pytest.raises(NotAllowedError):
        login(notebook, PASSWORD, "typed into the wrong field")
    with notebook.read() as connection:
        kept = connection.execute(login_attempt.select()).all()
    assert len(kept) == 1
    assert PASSWORD not in str(kept)


def test_an_outdated_hash_is_renewed_at_login(
    notebook: Notebook, team: Team, monkeypatch: pytest.MonkeyPatch
) -> None:
    stronger = PasswordHasher(time_cost=2, memory_cost=128, parallelism=1)
    monkeypatch.setattr(passwords, "_HASHER", stronger)

    def kept() -> set[str]:
        with notebook.read() as connection:
            found = connection.execute(sa.select(credential.c.password_hash)).scalars()
            return {text for text in found if "t=2" in text and "m=128" in text}

    assert kept() == set()
    login(notebook, "bench.example", PASSWORD)
    assert len(kept()) == 1
    login(notebook, "bench.example", PASSWORD)
    confirm(notebook, team.lead, PASSWORD)
    assert len(kept()) == 2
    assert verify(notebook).holds


def test_asking_once_more_needs_the_right_password(notebook: Notebook, team: Team) -> None:
    confirm(notebook, team.lead, PASSWORD)
    with pytest.raises(NotAllowedError, match="name or password is wrong"):
        confirm(notebook, team.lead, WRONG)
