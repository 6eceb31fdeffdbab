"""How a terminal shows where things are used, what was tried and what a change touches."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from zincite.interfaces.cli.notebook.figure_text import few_readings
from zincite.interfaces.cli.terminal import Screen
from zincite.notebook.questions.states import State
from zincite.notebook.questions.touched import Touched
from zincite.notebook.questions.tried import Step, Tried
from zincite.notebook.questions.uses import FormulaUse, LotUse, MaterialUse, TrialUse
from zincite.workbench.notebook.asking import WhereUsed

__all__ = ["show_touched", "show_tried", "show_where_used"]


def show_where_used(screen: Screen, found: WhereUsed) -> None:
    """Print where a lot went or a material is used."""
    if found.lot is not None:
        _lot(screen, found.lot)
    if found.material is not None:
        _material(screen, found.material)


def _lot(screen: Screen, use: LotUse) -> None:
    lot = use.lot
    screen.title(f"lot {lot.code}", _count(use.trial_count, "trial"))
    if lot.withdrawn:
        screen.line(Text(f"WITHDRAWN  {lot.withdrawn}", style="bold red"))
    told = (
        ("material", lot.material_key), ("supplier", lot.supplier),
        ("received", lot.received_on), ("expires", lot.expires_on), ("note", lot.note),
    )  # fmt: skip
    screen.pairs((name, text) for name, text in told if text)
    _trials(screen, use.trials, use.trial_count)


def _material(screen: Screen, use: MaterialUse) -> None:
    versions = _count(use.formula_count, "version")
    screen.title(use.material, f"{versions}, {_count(use.trial_count, 'trial')}")
    _carriers(screen, use.material, use.carriers)
    if use.formulas:
        screen.heading("Formulas", "the latest first")
        screen.table(
            (
                ("version", "left"), ("%", "right"), ("weighed as", "left"), ("", "left"),
                ("state", "left"), ("name", "left"),
            ),
            ([*_formula(one, use.material), one.name] for one in use.formulas),
        )  # fmt: skip
        _more(screen, len(use.formulas), use.formula_count)
    _trials(screen, use.trials, use.trial_count)


def _formula(one: FormulaUse, key: str) -> list[str | Text]:
    weighed = ", ".join("" if name == key else name for name in one.as_material)
    current = "current" if one.current else ""
    return [one.formula, f"{one.percent:.2f}", weighed, current, _state(one.state, one.withdrawn)]


def _state(state: State, withdrawn: str = "") -> Text:
    if withdrawn:
        return Text("withdrawn", style="bold red")
    said = f" ({state.verdict})" if state.verdict in ("fix", "go on") else ""
    return Text(f"{state.state}{said}")


def _carriers(screen: Screen, key: str, carriers: dict[str, float]) -> None:
    blends = [f"{100 * s:.3g} % of {name}" for name, s in carriers.items() if name != key]
    if blends:
        screen.line(f"also as {', '.join(blends)}", style="dim")


def _trials(screen: Screen, trials: Sequence[TrialUse], count: int) -> None:
    if not trials:
        return
    screen.heading("Trials", "the latest first; actual weights")
    screen.table(
        (
            ("trial", "left"), ("made on", "left"), ("formula", "left"), ("lot", "left"),
            ("g", "right"), ("measured since", "left"),
        ),
        (
            [
                _name(one.trial, one.withdrawn), one.made_on, one.formula,
                "\n".join(w.lot or "not noted" for w in one.weights),
                "\n".join(_grams(w.actual_g) for w in one.weights), few_readings(one.readings),
            ]
            for one in trials
        ),
    )  # fmt: skip
    _more(screen, len(trials), count)


def _name(code: str, withdrawn: str) -> str | Text:
    return Text(f"{code} withdrawn", style="bold red") if withdrawn else code


def _grams(value: float | None) -> str:
    return "-" if value is None else f"{value:.6g}"


def _more(screen: Screen, listed: int, count: int) -> None:
    if listed < count:
        screen.line(f"{listed} of {count} are listed: say --at-most for more.", style="dim")


def _count(count: int, noun: str) -> str:
    return f"1 {noun}" if count == 1 else f"{count} {noun}s"


def show_tried(screen: Screen, found: Tried) -> None:
    """Print what was done with a material, in order of time."""
    versions = _count(found.formula_count, "version")
    screen.title(found.material, f"{versions}, {_count(found.trial_count, 'trial')}")
    _carriers(screen, found.material, found.carriers)
    if not found.steps:
        screen.line("Nothing has been tried with it.")
        return
    screen.heading("In order of time")
    screen.table(
        (("on", "left"), ("what", "left"), ("%", "right"), ("said and measured", "left")),
        (
            [
                step.on if step.noun != "decision" else "",
                _done(step),
                "" if step.percent is None else f"{step.percent:.2f}",
                "; ".join(part for part in (step.said, few_readings(step.readings)) if part),
            ]
            for step in found.steps
        ),
    )
    listed = sum(step.noun == "trial" for step in found.steps)
    _more(screen, listed, found.trial_count)


def _done(step: Step) -> str | Text:
    if step.withdrawn:
        return Text(f"{step.name} withdrawn", style="bold red")
    if step.noun == "trial":
        return f"{step.name} of {step.formula}"
    return f"decision on {step.name}" if step.noun == "decision" else step.name


def show_touched(screen: Screen, found: Touched) -> None:
    """Print the versions that a change would touch."""
    asked = " and ".join(part for part in (found.coating, found.material) if part)
    counts = [f"{n} {s}" for s in ("released", "open", "dropped") if (n := found.counted(s))]
    screen.title(f"a change of {asked}", ", ".join(counts) or "touches no formula")
    if found.materials:
        screen.pairs([("materials", ", ".join(found.materials))])
    if not found.formulas:
        screen.line("No version that counts today holds it.")
        return
    screen.heading("Versions that count today", "what would have to be made and tested again")
    screen.table(
        (
            ("version", "left"), ("project", "left"), ("state", "left"), ("trials", "right"),
            ("%", "right"), ("material", "left"), ("coating", "left"),
        ),
        (
            [
                one.formula, one.project, _state(one.state), str(one.trial_count),
                "\n".join(f"{item.percent:.2f}" for item in one.items),
                "\n".join(item.material for item in one.items),
                "\n".join(item.coating or "none" for item in one.items),
            ]
            for one in found.formulas
        ),
    )  # fmt: skip
