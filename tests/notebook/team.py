"""A team's notebook for the tests: a lead, two at the bench, one who reads."""

from __future__ import annotations

from dataclasses import dataclass

from zincite.notebook.account_changes import add_account
from zincite.notebook.login import Login
from zincite.notebook.sessions import login
from zincite.notebook.store import Notebook

__all__ = ["PASSWORD", "Team", "made"]

PASSWORD = "only for tests 1"


@dataclass(frozen=True, slots=True)
class Team:
    """Logins of the invented people."""

    lead: Login
    bench: Login
    other: Login
    reader: Login

    def of(self, role: str) -> Login:
        return {"lead": self.lead, "bench": self.bench, "read": self.reader}[role]


def made(notebook: Notebook) -> Team:
    """Make the accounts and log everybody in."""

    def add(who: str, name: str, role: str) -> Login:
        full_name = f"{name[0].upper()}. Example"
        add_account(notebook, who, name, full_name=full_name, role=role, password=PASSWORD)
        return login(notebook, name, PASSWORD).who

    lead = add("someone", "lead.example", "lead")
    return Team(
        lead,
        add(lead, "bench.example", "bench"),
        add(lead, "other.example", "bench"),
        add(lead, "reader.example", "read"),
    )
