"""`zincite learn`: a laboratory's own model from its own results."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from zincite.errors import OutOfRangeError
from zincite.interfaces.cli.options import as_json, cards
from zincite.interfaces.cli.progress import Progress

if TYPE_CHECKING:
    from zincite.learning.posterior import LabPosterior

__all__ = ["learn"]

_IN_WORDS = {
    "log_film_shape": "evenness of the film on skin",
    "aggregate_log_nm": "size of aggregates",
    "zinc_k": "absorption of zinc oxide",
    "titanium_k": "absorption of titanium dioxide",
    "log_plate_shape": "evenness of the film on plates",
    "panel_bias": "panel reads higher than the model",
    "plate_bias": "plates read higher than the model",
    "log_scatter": "scatter from formula to formula",
    "aggregate_logit": "share in aggregates, all grades",
    "log_grade_spread": "differences between grades",
    "log_method_scatter": "scatter of plates about skin",
}


@click.command()
@click.argument("results", metavar="RESULTS.toml")
@click.option(
    "--out",
    "target",
    metavar="LAB.json",
    default="laboratory.json",
    help="Where the laboratory's model goes (laboratory.json).",
)
@click.option("--seconds", type=float, default=20.0, help="Longest time for sampling (20 s).")
@click.option("--seed", type=int, default=1, help="Of the random numbers (1).")
@as_json
@cards
def learn(
    results: str, target: str, seconds: float, seed: int, as_json: bool, cards: str | None
) -> None:
    """Learn from measured results: film, dispersion states, biases and scatter.

    RESULTS.toml lists formulas with what was measured on them (see the documentation). Ctrl-C
    ends the run and keeps what was drawn. Then say: zincite predict FORMULA.toml --model LAB.json
    """
    from zincite.workbench.learning import learn_from_file

    if not 0.1 <= seconds <= 3600:
        raise OutOfRangeError(f"--seconds is {seconds:g}, expected 0.1 to 3600")
    with Progress("{done} of at most {whole} steps") as progress:
        found = learn_from_file(
            results,
            target=target,
            cards=cards,
            seed=seed,
            seconds=seconds,
            progress=progress.tell,
        )
    from zincite.interfaces.cli.terminal import print_json

    if as_json:
        print_json({"laboratory": found.laboratory, "written_to": target, **found.report})
        return
    _show(found, target)


def _show(found: LabPosterior, target: str) -> None:
    from zincite.interfaces.cli.terminal import Screen

    screen, report = Screen(), found.report
    screen.line(f"{found.laboratory or 'Laboratory'}: {report['results']} results of "
                f"{report['formulas']} formulas")  # fmt: skip
    sampled = report["convergence"]
    if not sampled["converged"]:
        stop = "it was stopped" if sampled["interrupted"] else "it ran out of time"
        screen.line(f"The sampling has not settled ({stop}): run it longer before relying on it.")
    one_out: dict[str, Any] = report["leave_one_out"]
    _show_scores(screen, one_out)
    if one_out["lines"]:
        screen.heading("Measured and predicted", "median (90 % interval)")
        screen.table(
            (
                ("formula", "left"),
                ("result", "left"),
                ("measured", "right"),
                ("shipped model", "left"),
                ("learnt from the others", "left"),
            ),
            [
                [line["formula"], line["kind"], f"{line['measured']:.3g}",
                 _interval(line["before"]), _interval(line["after"])]
                for line in one_out["lines"]
            ],
        )  # fmt: skip
    screen.heading("What was learnt", "in prior standard deviations: 0 is what was thought before")
    screen.table(
        (("parameter", "left"), ("median (90 % interval)", "left")),
        [
            [_IN_WORDS.get(name, f"share in aggregates, {name}"), _deviations(v)]
            for name, v in report["shift_in_prior_deviations"].items()
        ],
    )
    screen.heading("How the fit went")
    check = report["predictive_check"]
    screen.items(
        [
            f"{sampled['steps']} steps of {sampled['walkers']} walkers, split R-hat "
            f"{sampled['r_hat']:.3f}, {sampled['effective_draws']:.0f} effective draws, "
            f"autocorrelation {sampled['autocorrelation_steps']:.0f} steps",
            f"predictive check (share of simulated data as far off): before {check['prior']:.2f}, "
            f"after {check['posterior']:.2f}; near 0 the model cannot make such data",
            f"stand-in for the film model: at most {100 * report['emulator_worst_rms']:.1f} % off",
        ]
    )
    screen.heading("Model")
    screen.line(f"{target}: use it with zincite predict FORMULA.toml --model {target}")
    screen.write()


def _show_scores(screen: Any, one_out: dict[str, Any]) -> None:
    before, after = one_out["before"], one_out["after"]
    if before["rms_log_error"] is None:
        return
    screen.heading("How far to trust it", "each formula predicted from all others")
    screen.table(
        (("", "left"), ("shipped model", "right"), ("learnt", "right")),
        [
            ["error of ln(factor - 1)", f"{before['rms_log_error']:.2f}",
             f"{after['rms_log_error']:.2f}"],
            ["results within the 90 % interval", f"{100 * before['coverage_90']:.0f} %",
             f"{100 * after['coverage_90']:.0f} %"],
            ["CRPS, in units of the factor (small is good)", f"{before['crps']:.2f}",
             f"{after['crps']:.2f}"],
        ],
    )  # fmt: skip


def _deviations(values: dict[str, float]) -> str:
    return f"{values['median']:+.1f} ({values['low']:+.1f} to {values['high']:+.1f})"


def _interval(values: dict[str, float]) -> str:
    return f"{values['median']:.3g} ({values['low']:.3g} to {values['high']:.3g})"
