"""A team at the command line: logging in, roles, signatures, and two people at the same thing."""

from __future__ import annotations

import json
import threading
from pathlib import Path

import sqlalchemy as sa

from tests.notebook.desk import Desk, refused
from tests.notebook.team import PASSWORD
from zincite.errors import ConflictError
from zincite.notebook.store import open_notebook
from zincite.notebook.verifying import verify
from zincite.workbench.notebook.about import withdraw
from zincite.workbench.notebook.listing import list_nouns
from zincite.workbench.notebook.opening import create_notebook
from zincite.workbench.notebook.projects import enter_project
from zincite.workbench.notebook.showing import show
from zincite.workbench.notebook.team import add_account, log_in

FORMULA = """
[formula]
code = "K-07"
name = "Invented cream"
emulsion = "water-in-oil"
[[phase]]
name = "A"
kind = "oil"
  [[phase.ingredient]]
  material = "caprylic-capric-triglyceride"
  percent = 60
[[phase]]
name = "B"
kind = "water"
  [[phase.ingredient]]
  material = "water"
  percent = 40
"""


def test_a_personal_notebook_says_so(where: str, tmp_path: Path) -> None:
    create_notebook(where)
    desk = Desk(where, tmp_path, "A. Example")
    assert desk.read("account", "list") | {"notebook": ""} == {
        "notebook": "", "personal": True, "accounts": [],
    }  # fmt: skip
    assert "whoever can open it may do everything" in desk.done("notebook", "account", "list")
    assert "A. Example, as given by --who" in desk.done("notebook", "whoami")
    refused(desk.notebook("login", "a", "--password-file", desk.password), "has no accounts")
    desk.done("notebook", "project", "P1")
    signed = desk.read("sign", "project", "P1", "--meaning", "approved")["signature"]
    assert (signed["proven"], signed["full_name"]) == (False, "A. Example")


def test_whoever_is_logged_in_writes_whatever_who_says(lead: Desk, bench: Desk) -> None:
    lead.done("notebook", "project", "P1", "--who", "somebody else")
    lead.done("notebook", "--help")
    bench.done("notebook", "comment", "project", "P1", "seen", "--who", "L. Example")
    entries = lead.read("history")["entries"]
    assert [entry["who"] for entry in entries[:2]] == ["bench.example", "lead.example"]
    me = lead.read("whoami")
    assert (me["who"], me["account"]["role"], me["personal"]) == ("lead.example", "lead", False)


def test_without_a_login_one_reads_and_does_not_write(lead: Desk, tmp_path: Path) -> None:
    lead.done("notebook", "project", "P1")
    guest = Desk(lead.where, tmp_path, "")
    assert guest.read("list", "projects")["projects"][0]["code"] == "P1"
    assert guest.notebook("whoami").exit_code == 1
    refused(guest.notebook("project", "P2"), "somebody: this notebook has accounts .* login")
    refused(guest.notebook("project", "P2", "--who", "lead.example"), "nobody is logged in")
    assert "nobody was logged in" in guest.done("notebook", "logout")


def test_the_bench_works_and_does_not_decide(lead: Desk, bench: Desk, tmp_path: Path) -> None:
    file = tmp_path / "k07.toml"
    file.write_text(FORMULA)
    refused(bench.notebook("project", "P1"), r"bench\.example \(role bench\) may not add a project")
    lead.done("notebook", "project", "P1")
    bench.done("notebook", "add", file, "--project", "P1")
    made = json.loads(bench.done("trial", "add", "K-07", "--kg", "1", "--json"))
    assert made["trial"]["made_by"] == "bench.example"
    decide = ("decide", "formula", "K-07@1")
    bench.done("notebook", *decide, "fix", "--reason", "too thin")
    refused(
        bench.notebook(*decide, "release", "--reason", "good"),
        "may not add a decision to release, expected the role lead",
    )
    lead.done("notebook", *decide, "release", "--reason", "good")
    refused(
        bench.notebook("account", "add", "x", "--full-name", "X", "--role", "lead",
                       "--password-file", bench.password),
        "may not add an account",
    )  # fmt: skip
    lead.done("notebook", "account", "role", "bench.example", "read")
    refused(bench.notebook("comment", "formula", "K-07@1", "x"), "role read.* may not add a comm")
    refused(bench.run("trial", "add", "K-07", "--kg", "1"), "role read.* may not add a trial")
    with open_notebook(lead.where) as notebook:
        assert verify(notebook).holds


def test_a_version_is_signed_by_somebody_else(lead: Desk, bench: Desk, tmp_path: Path) -> None:
    file = tmp_path / "k07.toml"
    file.write_text(FORMULA)
    lead.done("notebook", "project", "P1")
    bench.done("notebook", "add", file, "--project", "P1")
    sign = ("sign", "formula", "K-07", "--meaning", "approved")
    assert "not signed" in lead.done("notebook", "signatures", "K-07@1")
    refused(lead.notebook(*sign), r"Your password \(lead.example\): there is no terminal")
    (tmp_path / "wrong").write_text("not the password\n")
    refused(lead.notebook(*sign, "--password-file", tmp_path / "wrong"), "password is wrong")
    made = ("sign", "formula", "K-07", "--meaning", "made", "--password-file", bench.password)
    refused(bench.notebook(*made), "may not add a signature, expected the role lead")
    refused(
        lead.notebook("sign", "project", "P1", "--meaning", "approved", "--password-file",
                      lead.password),
        "lead.example wrote project P1",
    )  # fmt: skip
    lead.done("notebook", *sign, "--password-file", lead.password)
    shown = lead.done("notebook", "signatures", "K-07@1")
    for word in ("approved", "L. Example (lead.example)", "signed content unchanged"):
        assert word in shown
    assert "L. Example" in lead.done("notebook", "show", "K-07@1")
    found = lead.read("signatures", "K-07@1", "--noun", "formula")
    (signature,) = found["signatures"]
    assert found["hold"]
    assert (signature["name"], signature["of_revision"]) == ("K-07@1", 1)
    assert lead.read("signatures") == found
    assert lead.read("signatures", "--noun", "lot")["signatures"] == []
    assert "formula K-07@1" in lead.done("notebook", "signatures")
    refused(lead.notebook("signatures", "K-08"), "no thing is called 'K-08'")
    lead.done("notebook", "withdraw", "formula", "K-07@1", "--reason", "wrong oil")
    assert "withdrawn since then: wrong oil" in lead.done("notebook", "signatures", "K-07@1")
    lead.done("notebook", "unsign", signature["id"], "--reason", "with the version")
    shown = lead.done("notebook", "signatures", "K-07@1")
    assert "approved (WITHDRAWN)" in shown
    assert all(len(line) <= 100 for line in shown.splitlines())


def test_tampered_content_under_a_signature_exits_with_one(lead: Desk, bench: Desk) -> None:
    bench_lot = ("lot", "zinc-oxide-40", "L-1", "--supplier", "Invented")
    made = bench.run("material", *bench_lot)
    assert made.exit_code == 0, made.output
    lead.done("notebook", "sign", "lot", "L-1", "--meaning", "released", "--password-file",
              lead.password)  # fmt: skip
    assert lead.notebook("signatures", "L-1").exit_code == 0
    with open_notebook(lead.where) as notebook, notebook.engine.begin() as connection:
        connection.execute(sa.text("UPDATE lot SET supplier = 'Other'"))
    found = lead.notebook("signatures", "L-1")
    assert found.exit_code == 1
    assert "is not what was signed" in found.output
    found = lead.notebook("signatures")
    assert found.exit_code == 1
    assert "lot L-1" in found.output


def test_two_people_at_the_same_thing_get_a_clear_conflict(lead: Desk, bench: Desk) -> None:
    bench.done("material", "lot", "zinc-oxide-40", "L-1")
    seen = lead.read("show", "L-1")["lot"]["revision"]
    stale = ("withdraw", "lot", "L-1", "--reason", "recalled", "--revision", seen)
    lead_sees = ("sign", "lot", "L-1", "--meaning", "checked", "--revision", seen)
    bench.done("notebook", "withdraw", "lot", "L-1", "--reason", "spilled", "--revision", seen)
    sentence = (
        r"^zincite: lot L-1 was changed by bench\.example at \d{4}-\d\d-\d\d \d\d:\d\d:\d\d UTC "
        r"\(now revision 2\), expected revision 1 as you opened it: open it again and repeat your "
        r"change$"
    )
    refused(lead.notebook(*stale), sentence)
    refused(lead.notebook(*lead_sees, "--password-file", lead.password), sentence)
    lead.done("notebook", "account", "role", "bench.example", "read", "--revision", "1")
    refused(
        lead.notebook("account", "deactivate", "bench.example", "--reason", "left", "--revision",
                      "1"),
        r"account bench\.example was changed by lead\.example",
    )  # fmt: skip


def test_of_many_who_change_the_same_thing_one_does(where: str, quick_hashes: None) -> None:
    create_notebook(where)
    add_account(where, "a.example", full_name="A", role="lead", password=PASSWORD, who="somebody")
    who = log_in(where, "a.example", PASSWORD).session.who
    enter_project(where, "P1", who=who)
    seen = list_nouns(where, "projects").records[0].revision
    said: list[object] = []

    def change(reason: str) -> None:
        try:
            said.append(withdraw(where, "project", "P1", reason=reason, who=who, revision=seen))
        except ConflictError as error:
            said.append(error)

    threads = [threading.Thread(target=change, args=(f"reason {n}",)) for n in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    conflicts = [one for one in said if isinstance(one, ConflictError)]
    assert (len(said), len(conflicts)) == (6, 5)
    assert show(where, "P1").record.revision == 2
