"""How a terminal shows what was entered, and a thing with all that hangs on it."""

from __future__ import annotations

from collections.abc import Iterable

from zincite.interfaces.cli.notebook.listing_view import list_records
from zincite.interfaces.cli.notebook.record_view import said_when, show_record
from zincite.interfaces.cli.terminal import Screen
from zincite.workbench.notebook.opening import Created, Entered
from zincite.workbench.notebook.showing import Shown

__all__ = ["show_created", "show_entered", "show_several", "show_thing"]


def show_created(screen: Screen, made: Created) -> None:
    """Print where the notebook lies."""
    screen.title(f"{made.kind} notebook is ready", f"{made.events} events")
    screen.line(made.name)


def show_entered(screen: Screen, entered: Entered) -> None:
    """Print what was written, what was entered with it, and what to look at."""
    done = "withdrawn" if entered.record.withdrawn else "entered"
    called = f"on {entered.about}" if entered.about else entered.record.called
    screen.title(f"{entered.noun} {called} {done}", f"event {entered.events}")
    if entered.notes:
        screen.heading("Look at this")
        screen.items(entered.notes)
    show_record(screen, entered.record, whole=False)
    if entered.also:
        screen.heading("Entered with it")
        nouns = dict.fromkeys(noun for noun, _ in entered.also)
        screen.items(
            f"{noun} {', '.join(r.called for other, r in entered.also if other == noun)}"
            for noun in nouns
        )
    screen.line()
    screen.line(f"head {entered.head_hash}", style="dim")


def show_several(screen: Screen, listed: Iterable[Entered]) -> None:
    """Print what was written, one a line."""
    for entered in listed:
        screen.line(f"{entered.noun} {entered.record.called} entered")


def show_thing(screen: Screen, shown: Shown) -> None:
    """Print a thing with all that hangs on it."""
    first = shown.first
    by = f"entered by {first.who}, {said_when(first.at)}"
    screen.title(f"{shown.noun} {shown.record.called}", by)
    if shown.about:
        screen.line(f"on {shown.about}")
    show_record(screen, shown.record)
    for plural, records in shown.related.items():
        noun = "formulas" if plural == "versions" and shown.noun == "formula" else plural
        noun = "materials" if plural == "versions" and shown.noun == "material" else noun
        screen.heading(plural.capitalize())
        list_records(screen, noun, records)
    if shown.decisions:
        screen.heading("Decisions", "the latest first")
        screen.items(f"{d.verdict}: {d.reason}{_gone(d.withdrawn)}" for d in shown.decisions)
    if shown.signatures:
        screen.heading("Signatures")
        screen.items(
            f"{s.full_name}, {said_when(s.at)}: {s.meaning} ({s.since}){_gone(s.withdrawn)}"
            for s in shown.signatures
        )
    if shown.comments:
        screen.heading("Comments")
        screen.items(f"{c.text}{_gone(c.withdrawn)}" for c in shown.comments)
    if shown.attachments:
        screen.heading("Attachments")
        screen.items(f"{a.name}  {a.id}{_gone(a.withdrawn)}" for a in shown.attachments)


def _gone(withdrawn: str) -> str:
    return f"  (withdrawn: {withdrawn})" if withdrawn else ""
