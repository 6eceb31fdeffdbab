"""Fit film and aggregate parameters to published formulas and write the shipped posterior.

Run it again after any change of the optics:

    python scripts/fit_film_model.py

It writes src/zincite/data/model/film_posterior.csv and docs/model-fit.md.

Method: importance sampling. Global parameters are drawn from their priors; for each published
result the likelihood is averaged over what its source does not state (size of the grade, solids of
a dispersion, contribution of UV-active oils), drawn within bounds. The posterior weights are the
product over results; leaving one result out is leaving out its factor. The spread of shipped
predictions about the model is the root mean square leave-one-out error.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr
from scipy.stats import qmc

from zincite.evaluation.film import DOSE_SKIN_MG_CM2, build_film
from zincite.evaluation.parameters import PARAMETER_NAMES, ModelDraws
from zincite.evaluation.plates import DOSE_PLATE_MG_CM2, PLATE_FILM_SHAPE
from zincite.evaluation.protection import (
    film_transmittance,
    protection_measures,
    reference_ratio,
)
from zincite.formula.formula import Formula, Ingredient, Phase
from zincite.formula.library import library
from zincite.formula.material import Coating, Grade, Material

Array = NDArray[np.float64]

Triple = tuple[float, float, float]
Row = tuple["PublishedResult", Triple, Triple, float, bool, float]

ROOT = Path(__file__).resolve().parents[1]
GLOBAL_DRAWS, LATENT_DRAWS, SHIPPED_DRAWS = 4096, 48, 400
TEST_SCATTER = 0.12  # ln SPF of one panel mean; a half-width of 17 % at n = 10 allows 0.08-0.16
SEED = 20261125

PRIORS = {
    # name: (mean, standard deviation) of a normal; why
    "log_film_shape": (math.log(1.5), 0.35),  # 1.5 "good" in Ferrero 2003, 0.5 to 3 seen
    "aggregate_logit": (-0.85, 0.9),  # 30 %, 9 to 65 %; assumed
    "aggregate_log_nm": (math.log(330.0), 0.5),  # 145 to 750 nm; assumed
    "log_residual": (math.log(0.2), 0.5),
}


@dataclass(frozen=True)
class PublishedPigment:
    """A pigment of a published formula with what its source leaves open."""

    core: str
    coating: str
    coating_percent: float
    sizes_nm: tuple[float, ...]
    low_percent: float  # powder in the formula
    high_percent: float


@dataclass(frozen=True)
class PublishedResult:
    """A published SPF and the formula's other data."""

    key: str
    what: str
    source: str
    pigments: tuple[PublishedPigment, ...]
    liquids: tuple[tuple[str, float], ...]
    low: float  # equal to high for a printed value
    high: float
    booster: tuple[float, float] = (1.0, 1.0)  # SPF factor of UV-active oils, bounds
    plate: bool = False  # measured in vitro on roughened plates
    uva_pf: float | None = None

    @property
    def printed(self) -> str:
        """The result as printed."""
        return f"{self.low:g}" if self.low == self.high else f"{self.low:g} to {self.high:g}"


FINE_TITANIUM = (28.0, 38.0, 50.0, 66.0)
ZINC_ANY = (40.0, 65.0, 100.0, 150.0)

RESULTS = (
    PublishedResult(
        "F1",
        "W/O natural lotion, TiO2 dispersion 20 %",
        "S03",
        (PublishedPigment("titanium-dioxide-rutile", "Alumina", 10, FINE_TITANIUM, 7.0, 10.0),),
        (
            ("caprylic-capric-triglyceride", 9.0),
            ("isopropyl-myristate", 4.0),
            ("cetearyl-ethylhexanoate", 8.0),
            ("squalane", 3.0),
            ("ethylhexyl-palmitate", 2.0),
            ("polyglyceryl-3-polyricinoleate", 3.0),
            ("glycerin", 4.0),
        ),
        39,
        39,
        uva_pf=10,
    ),
    PublishedResult(
        "F2",
        "W/O lotion, TiO2 dispersion 18 %",
        "S02",
        (PublishedPigment("titanium-dioxide-rutile", "Alumina", 10, FINE_TITANIUM, 6.3, 9.0),),
        (("c12-15-alkyl-benzoate", 22.0), ("isohexadecane", 3.0), ("glycerin", 4.5)),
        31,
        31,
        uva_pf=10,
    ),
    PublishedResult(
        "F4",
        "W/O, ZnO dispersion 40 %",
        "S05",
        (PublishedPigment("zinc-oxide", "Triethoxycaprylylsilane", 3, ZINC_ANY, 20.0, 28.0),),
        (("caprylic-capric-triglyceride", 15.0), ("isopropyl-myristate", 5.0)),
        27,
        27,
    ),
    PublishedResult(
        "F5",
        "W/Si, TiO2 dispersion 30 % + ZnO dispersion 25 %",
        "S06",
        (
            PublishedPigment("titanium-dioxide-rutile", "Alumina", 10, FINE_TITANIUM, 9.0, 15.0),
            PublishedPigment("zinc-oxide", "Dimethicone", 3, ZINC_ANY, 12.5, 17.5),
        ),
        (("squalane", 10.0), ("dimethicone", 15.0), ("glycerin", 2.0)),
        50,
        50,
    ),
    PublishedResult(
        "F6",
        "O/W, ZnO 30-200 nm 20 % + UV-active solubilisers 18 %",
        "S71",
        (
            PublishedPigment(
                "zinc-oxide", "Triethoxycaprylylsilane", 3, (40.0, 65.0, 100.0, 150.0), 20.0, 20.0
            ),
        ),
        (("isopropyl-myristate", 12.0), ("c12-15-alkyl-benzoate", 18.0), ("glycerin", 2.5)),
        30,
        30,
        booster=(1.0, 2.0),
    ),
    PublishedResult(
        "B1",
        "market product, ZnO 20 %",
        "S07",
        (PublishedPigment("zinc-oxide", "Stearic Acid", 3, ZINC_ANY, 20.0, 20.0),),
        (("caprylic-capric-triglyceride", 20.0), ("glycerin", 3.0)),
        30,
        30,
    ),
    PublishedResult(
        "B2",
        "market product, TiO2 8 %, labelled 30+",
        "S07",
        (PublishedPigment("titanium-dioxide-rutile", "Alumina", 10, FINE_TITANIUM, 8.0, 8.0),),
        (("caprylic-capric-triglyceride", 20.0), ("glycerin", 3.0)),
        30,
        50,
    ),
    PublishedResult(
        "B3",
        "emulsion, micron ZnO dispersion, ZnO 15-20 %",
        "S01",
        (PublishedPigment("zinc-oxide", "Stearic Acid", 3, ZINC_ANY, 15.0, 20.0),),
        (("caprylic-capric-triglyceride", 20.0), ("glycerin", 3.0)),
        20,
        40,
    ),
)


OILS = (("caprylic-capric-triglyceride", 20.0), ("glycerin", 3.0))
ZINC = "zinc-oxide"
RUTILE = "titanium-dioxide-rutile"


def _shown(
    key: str,
    what: str,
    source: str,
    core: str,
    percent: tuple[float, float],
    low: float,
    high: float,
    sizes: tuple[float, ...] = (),
    plate: bool = False,
) -> PublishedResult:
    sizes = sizes or (ZINC_ANY if core == ZINC else FINE_TITANIUM)
    pigment = PublishedPigment(core, "Stearic Acid", 3, sizes, *percent)
    return PublishedResult(key, what, source, (pigment,), OILS, low, high, plate=plate)


SHOWN_ONLY = (
    (
        _shown("B4", "O/W day cream, ZnO 6 %", "S60", ZINC, (6, 6), 1, 3),
        "the source itself suspects poor dispersion",
    ),
    (
        _shown("B5", "various ZnO 25 %, none above", "S09", ZINC, (25, 25), 1, 10, plate=True),
        "in vitro; model: film on plates, 1.3 mg/cm2 (dose and vehicle not in the abstract)",
    ),
    (
        _shown("B6", "best coated TiO2 25 %", "S09", RUTILE, (25, 25), 38, 38, plate=True),
        "in vitro; model: film on plates, as B5",
    ),
    (
        _shown("B7", "ZnO 20 % + methylcellulose 1 to 2 %", "S95", ZINC, (20, 20), 33, 39),
        "supplier's claim for the film former, which the model does not know",
    ),
    (_shown("B8", "rule of thumb, ZnO 10 %", "S63", ZINC, (10, 10), 10, 15), "rule, no test"),
    (
        _shown(
            "B9", "rule of thumb, TiO2 200 nm 5 %, at most", "S64", RUTILE, (5, 5), 10, 10, (200.0,)
        ),
        "rule, no test",
    ),
)
NOT_COMPARABLE = (
    ("F3", "S04", "two TiO2 dispersions at equal 7.6 % solids: no SPF in the reachable excerpt"),
    ("F7", "S70", "skin tint with ZnO dispersion 20 %: SPF not given"),
    ("F8", "S59", "bench trial aiming at SPF 50: amount of ZnO cut off in the excerpt, no test"),
    ("F9", "S58", "foundation with 13 % organic filters, SPF estimated, not mineral only"),
    ("Talc", "S09", "25 %: SPF 1, no pigment of this model"),
    ("TiO2 by size", "S10", "20 nm above 170 nm at 5-20 %: an order, kept as a test of the model"),
    ("Rule of thumb", "S65", "1 % TiO2 or 2 % ZnO for 2 units: as B8"),
)


def _formula(result: PublishedResult, sizes: tuple[float, ...]) -> Formula:
    cards: dict[str, Material] = {}
    parts: list[Ingredient] = []
    for number, (pigment, size) in enumerate(zip(result.pigments, sizes, strict=True)):
        grade = Grade(
            pigment.core, size, 1.5, coatings=(Coating(pigment.coating, pigment.coating_percent),)
        )
        card = Material(f"pigment-{number}", pigment.core, phase="pigment", grade=grade)
        cards[card.id] = card
        parts.append(Ingredient(card.id, (pigment.low_percent + pigment.high_percent) / 2))
    for name, percent in result.liquids:
        cards[name] = library()[name]
        parts.append(Ingredient(name, percent))
    cards["water"] = library()["water"]
    parts.append(Ingredient("water", 100 - math.fsum(p.percent for p in parts)))
    phases = (Phase("A", "oil", tuple(parts)),)
    return Formula(result.key, result.what, "water-in-oil", phases, cards)


def prior_draws(count: int) -> tuple[ModelDraws, Array]:
    """Return global parameters from the priors and the standard deviation of the residual."""
    cube = qmc.Sobol(7, seed=SEED).random(count)
    normal = np.sqrt(2) * _erfinv(2 * cube - 1)
    zero = np.zeros(count)

    def of(name: str, column: int) -> Array:
        mean, deviation = PRIORS[name]
        return np.asarray(mean + deviation * normal[:, column])

    draws = ModelDraws(
        film_shape=np.exp(of("log_film_shape", 0)),
        aggregate_logit=of("aggregate_logit", 1),
        aggregate_log_nm=of("aggregate_log_nm", 2),
        zinc_k=normal[:, 3],
        titanium_k=normal[:, 4],
        iron_k=zero,
        lamp=zero,
        uva_lamp=zero,
        darkening=zero,
        residual=zero,
        viscosity=zero,
    )
    return draws, np.exp(of("log_residual", 5))


def _erfinv(values: Array) -> Array:
    from scipy.special import erfinv

    return np.asarray(erfinv(np.clip(values, -1 + 1e-12, 1 - 1e-12)))


def simulate(
    result: PublishedResult, draws: ModelDraws, rng: np.random.Generator
) -> tuple[Array, Array]:
    """Return model SPF and UVA-PF, shape (n_draws, LATENT_DRAWS), latents drawn within bounds."""
    if result.plate:
        evenness = PLATE_FILM_SHAPE / float(np.median(draws.film_shape))
        draws = replace(draws, film_shape=np.clip(draws.film_shape * evenness, 0.3, 20))
    combinations = [
        tuple(p.sizes_nm[(index + 2 * n) % len(p.sizes_nm)] for n, p in enumerate(result.pigments))
        for index in range(4)
    ]
    spf = np.empty((draws.size, LATENT_DRAWS))
    uva = np.empty_like(spf)
    films = []
    for sizes in combinations:
        dose = DOSE_PLATE_MG_CM2 if result.plate else DOSE_SKIN_MG_CM2
        film = build_film(_formula(result, sizes), dose_mg_cm2=dose)
        films.append((film, reference_ratio(film, draws.centre())))
    booster = np.exp(
        rng.uniform(math.log(result.booster[0]), math.log(result.booster[1] + 1e-12), spf.shape)
    )
    for column in range(LATENT_DRAWS):
        film, ratio = films[column % len(films)]
        factor = np.stack(
            [
                rng.uniform(p.low_percent, p.high_percent, draws.size)
                / ((p.low_percent + p.high_percent) / 2)
                for p in result.pigments
            ],
            axis=1,
        )
        passed = film_transmittance(
            film, draws, mass_factor=factor, coarse=True, ratio=ratio, over_black=result.plate
        )
        measures = protection_measures(passed, draws)
        spf[:, column], uva[:, column] = measures.spf * booster[:, column], measures.uva_pf
    return spf, uva


def likelihood(result: PublishedResult, spf: Array, residual: Array) -> Array:
    """Return the likelihood of a result for each global draw, averaged over the latents."""
    sigma = np.sqrt(residual**2 + TEST_SCATTER**2)[:, None]
    middle = np.log(spf)
    if result.low == result.high:
        z = (math.log(result.low) - middle) / sigma
        density = np.exp(-0.5 * z**2) / sigma
    else:
        density = ndtr((math.log(result.high) - middle) / sigma) - ndtr(
            (math.log(result.low) - middle) / sigma
        )
    return np.asarray(density.mean(axis=1))


def weighted_quantile(values: Array, weights: Array, levels: list[float]) -> Array:
    """Return quantiles of weighted draws."""
    order = np.argsort(values)
    share = np.cumsum(weights[order]) - weights[order] / 2
    return np.asarray(np.interp(np.array(levels) * weights.sum(), share, values[order]))


def predictive(
    spf: Array, residual: Array, weights: Array, rng: np.random.Generator
) -> tuple[float, float, float]:
    """Return median and 90 % interval of a new measured SPF."""
    sigma = np.sqrt(residual**2 + TEST_SCATTER**2)[:, None]
    values = np.exp(np.log(spf) + sigma * rng.standard_normal(spf.shape)).ravel()
    spread = np.repeat(weights / spf.shape[1], spf.shape[1])
    low, median, high = weighted_quantile(values, spread, [0.05, 0.5, 0.95])
    return float(median), float(low), float(high)


def main() -> None:
    """Fit, report and write."""
    rng = np.random.default_rng(SEED)
    draws, residual = prior_draws(GLOBAL_DRAWS)
    logs: list[Array] = []
    simulated: list[tuple[Array, Array]] = []
    for result in RESULTS:
        print(f"{result.key}: {result.what} ...", flush=True)
        spf, uva = simulate(result, draws, rng)
        simulated.append((spf, uva))
        logs.append(np.log(likelihood(result, spf, residual) + 1e-300))
    total = np.sum(logs, axis=0)
    rows, errors, covered = [], [], 0
    for number, result in enumerate(RESULTS):
        spf, uva = simulated[number]
        out = _normed(total - logs[number])
        median, low, high = predictive(spf, residual, out, rng)
        whole = predictive(spf, residual, _normed(total), rng)
        uva_median = float(weighted_quantile(uva.ravel(), np.repeat(out, LATENT_DRAWS), [0.5])[0])
        if result.low <= median <= result.high:
            error = 0.0
        else:
            error = math.log(median / (result.low if median < result.low else result.high))
        inside = low <= result.high and high >= result.low
        covered += inside
        errors.append(error)
        rows.append((result, whole, (median, low, high), error, inside, uva_median))
    loo = float(np.sqrt(np.mean(np.square(errors))))
    printed = [e for e, r in zip(errors, RESULTS, strict=True) if r.low == r.high]
    loo_printed = float(np.sqrt(np.mean(np.square(printed))))
    weights = _normed(total)
    print(f"effective draws {1 / np.sum(weights**2):.0f} of {GLOBAL_DRAWS}")
    print(f"leave-one-out error, ln SPF: all {loo:.3f}, printed values {loo_printed:.3f}")
    for name in ("film_shape", "aggregate_logit", "aggregate_log_nm", "zinc_k", "titanium_k"):
        print(name, weighted_quantile(getattr(draws, name), weights, [0.05, 0.5, 0.95]).round(3))
    print("residual", weighted_quantile(residual, weights, [0.05, 0.5, 0.95]).round(3))
    shown = []
    for result, reason in SHOWN_ONLY:
        spf, _ = simulate(result, draws, rng)
        shown.append((result, reason, predictive(spf, residual, weights, rng)))
    write_posterior(draws, weights, loo_printed, rng)
    write_report(draws, weights, residual, rows, shown, (loo, loo_printed))
    for result, whole, left, error, inside, uva_median in rows:
        print(
            f"{result.key}: printed {result.printed:>9}  fit {_range(whole)}"
            f"  left out {_range(left)}"
            f"  ln error {error:+.2f}  {'inside' if inside else 'OUTSIDE'}"
            f"  UVA-PF {uva_median:.1f} (printed {result.uva_pf})"
        )


def write_posterior(
    draws: ModelDraws, weights: Array, spread: float, rng: np.random.Generator
) -> None:
    """Write the draws that ship: posterior of the globals, leave-one-out error as residual."""
    picked = rng.choice(weights.size, SHIPPED_DRAWS, p=weights)
    columns = {name: getattr(draws, name)[picked].copy() for name in PARAMETER_NAMES}
    for name in ("iron_k", "lamp", "uva_lamp", "darkening", "viscosity"):
        columns[name] = _even_normal(rng)
    columns["residual"] = spread * _even_normal(rng)
    path = ROOT / "src/zincite/data/model/film_posterior.csv"
    head = [
        "# source: computed_film_fit",
        "# unit: none; aggregate_log_nm is ln of nm; *_k, lamps, viscosity in standard deviations",
        f"# note: {SHIPPED_DRAWS} draws of scripts/fit_film_model.py; residual has the "
        f"leave-one-out error {spread:.3f} of ln SPF",
        ",".join(PARAMETER_NAMES),
    ]
    body = [
        ",".join(f"{columns[name][row]:.5g}" for name in PARAMETER_NAMES)
        for row in range(SHIPPED_DRAWS)
    ]
    path.write_text("\n".join(head + body) + "\n", encoding="utf-8")


def _even_normal(rng: np.random.Generator) -> Array:
    """Return normal numbers at even probabilities in random order: no luck in the spread."""
    from scipy.special import ndtri

    values = ndtri((np.arange(SHIPPED_DRAWS) + 0.5) / SHIPPED_DRAWS)
    return np.asarray(rng.permutation(values))


def write_report(
    draws: ModelDraws,
    weights: Array,
    residual: Array,
    rows: Sequence[Row],
    shown: Sequence[tuple[PublishedResult, str, Triple]],
    loo: tuple[float, float],
) -> None:
    """Write docs/model-fit.md."""
    inside = sum(row[4] for row in rows)
    formulas = [row for row in rows if row[0].key.startswith("F")]
    bracketed = sum(row[1][1] <= row[0].low <= row[1][2] for row in formulas)
    lines = [
        "# How well the shipped model meets published results",
        "",
        "Made by `scripts/fit_film_model.py`; run it again after any change of the optics.",
        "",
        "Few mineral formulas are published with their SPF, none with the size of its pigment.",
        "What a source does not state is *latent*: drawn within the bounds given below and",
        "averaged over. A prediction for your own grade has no such excuse, but the same film.",
        "",
        f"- Leave-one-out error of ln SPF: **{loo[1]:.2f}** over printed values (a factor of",
        f"  {math.exp(loo[1]):.2f}), {loo[0]:.2f} with the results given as a range. The first is",
        "  the spread that every shipped prediction carries.",
        f"- The 90 % interval of the fitted model holds the printed SPF of {bracketed} of",
        f"  {len(formulas)} published formulas, and left out of the fit {inside} of {len(rows)}"
        " results.",
        "",
        "## Fitted",
        "",
        "| | result | source | SPF printed | model (90 %) | left out (90 %) | ln error "
        "| UVA-PF printed / model | latent |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for result, whole, left, error, held, uva in rows:
        latent = "; ".join(
            f"{p.core.split('-')[0]} {min(p.sizes_nm):g}-{max(p.sizes_nm):g} nm, "
            f"{p.low_percent:g}-{p.high_percent:g} %"
            for p in result.pigments
        )
        if result.booster[1] > 1:
            latent += f"; UV-active oils x{result.booster[0]:g}-{result.booster[1]:g}"
        uva_text = "-" if result.uva_pf is None else f"{result.uva_pf:g}"
        lines.append(
            f"| {result.key} | {result.what} | {result.source} | {result.printed} "
            f"| {_range(whole)} | {_range(left)}{'' if held else ' **outside**'} | {error:+.2f} | "
            f"{uva_text} / {uva:.0f} | {latent} |"
        )
    lines += ["", "## Shown, not fitted", ""]
    lines += ["| | result | source | SPF printed | model (90 %) | why not fitted |"]
    lines += ["| --- | --- | --- | --- | --- | --- |"]
    lines += [
        f"| {r.key} | {r.what} | {r.source} | {r.printed} | {_range(m)} | {reason} |"
        for r, reason, m in shown
    ]
    lines += ["", "## No number to compare with", ""]
    lines += [f"- {key} (source {source}): {reason}." for key, source, reason in NOT_COMPARABLE]
    lines += ["", "## Parameters", "", "| parameter | 5 % | median | 95 % | prior |"]
    lines += ["| --- | --- | --- | --- | --- |"]
    table = (
        ("film evenness c on skin", draws.film_shape, "log_film_shape", np.exp),
        (
            "mass share in aggregates",
            1 / (1 + np.exp(-draws.aggregate_logit)),
            "aggregate_logit",
            lambda v: 1 / (1 + np.exp(-v)),
        ),
        ("aggregate median, nm", np.exp(draws.aggregate_log_nm), "aggregate_log_nm", np.exp),
        ("residual, ln SPF", residual, "log_residual", np.exp),
    )
    for name, values, prior, back in table:
        low, median, high = weighted_quantile(values, weights, [0.05, 0.5, 0.95])
        mean, deviation = PRIORS[prior]
        wide = back(np.array([mean - 1.645 * deviation, mean + 1.645 * deviation]))
        lines.append(
            f"| {name} | {low:.3g} | {median:.3g} | {high:.3g} | {wide[0]:.2g} to {wide[1]:.2g} |"
        )
    lines += [
        "",
        "The data narrow the evenness of the film; the aggregates stay close to their prior, which",
        "is an assumption. A laboratory's own measurements are worth more than all of this.",
        "",
        "Source codes are those of `src/zincite/data/sources_trade.toml`.",
    ]
    (ROOT / "docs/model-fit.md").write_text("\n".join(lines) + "\n", encoding="utf-8")


def _range(values: Triple) -> str:
    return f"{values[0]:.0f} ({values[1]:.0f}-{values[2]:.0f})"


def _normed(logs: Array) -> Array:
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum())


if __name__ == "__main__":
    main()
