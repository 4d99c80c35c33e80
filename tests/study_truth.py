"""Invented plants of known truth: operators, days, an observer who errs, dependent cycles, rare elements."""

from dataclasses import dataclass, replace

import numpy as np
from study_cases import case, study

from coreset.case import Element, Method, Pattern, Range, Step
from coreset.line.mold_cycle import mold_cycles
from coreset.study.bootstrap import interval
from coreset.study.crew_errors import DAY_LOG_SD, OPERATOR_LOG_SD
from coreset.study.dependence import GRID, PRIOR
from coreset.study.pooling import by_pattern, standards

MEANS, CVS = np.array([3.0, 5.0, 8.0, 4.0, 4.0]), np.array([0.30, 0.25, 0.18, 0.22, 0.28])
MACHINE_S, RARE_S, OFTEN, WINDOW_S = 12.0, 14.0, 0.1, 36.0
RATER_SD, ONE_SD, DAY_SD, PACE_SD = 0.025, 0.04, 0.015, 0.08
"""A rater's common error, of a single rating, of a day, and of the pace from cycle to cycle."""
OPERATOR_PCT, DAY_PCT = 5.0, 2.0
"""Usual differences between operators and days that the case states unless it is told otherwise."""
ROOT = np.linalg.cholesky(0.3 + 0.7 * np.eye(len(MEANS)))
NAMES = [f"e{i}" for i in range(len(MEANS))]


@dataclass(frozen=True, kw_only=True)
class Plant:
    """How many operators were timed in how many studies each, cycles, dependence, how far operators differ."""

    operators: int = 1
    studies: int = 1
    cycles: int = 12
    dependence: float = 0.0
    operator_sd: float = 0.05
    rare: str = ""  # none, "stated" beforehand or "counted"
    day_sd: float = DAY_SD
    as_assumed: bool = False  # the three unknowns above come from what the product takes for likely beforehand

    def drawn(self, rng):
        """One plant of the kind: itself, or with dependence, operators and days from the product's own priors."""
        if not self.as_assumed:
            return self
        return replace(
            self,
            dependence=float(rng.choice(GRID, p=PRIOR / PRIOR.sum())),
            operator_sd=OPERATOR_PCT / 100 * float(np.exp(OPERATOR_LOG_SD * rng.standard_normal())),
            day_sd=DAY_PCT / 100 * float(np.exp(DAY_LOG_SD * rng.standard_normal())),
        )


def series(rng, plant):
    """Cycles of a study, each like the one before it to a degree, (cycles, elements)."""
    z = rng.standard_normal((plant.cycles, len(MEANS)))
    for i in range(1, plant.cycles):
        z[i] = plant.dependence * z[i - 1] + np.sqrt(1 - plant.dependence**2) * z[i]
    sigma = np.sqrt(np.log1p(CVS**2))
    return MEANS * np.exp(z @ ROOT.T * sigma - sigma**2 / 2)


def one_study(rng, plant, slow, bias, **facts):
    """A study of an operator who takes exp(slow) of the time, by an observer who rates exp(bias) too high."""
    pace = np.exp(rng.normal(0, PACE_SD, plant.cycles))
    seconds = series(rng, plant) * np.exp(slow + rng.normal(0, plant.day_sd)) / pace[:, None]
    rated = 100 * pace[:, None] * np.exp(bias + rng.normal(0, ONE_SD, seconds.shape))
    rated = np.maximum(5 * np.round(rated / 5), 5)
    rows = []
    for c in range(plant.cycles):
        rows += [(c + 1, name, float(seconds[c, i]), float(rated[c, i])) for i, name in enumerate(NAMES)]
        rows.append((c + 1, "m", float(MACHINE_S * np.exp(rng.normal(0, 0.02)))))
        if plant.rare and rng.random() < OFTEN:
            rows.append((c + 1, "o", float(RARE_S * np.exp(rng.normal(-0.045, 0.3) + slow)), 100 * np.exp(bias)))
    rare = Element(name="o", occasional=True, per_mold=OFTEN if plant.rare == "stated" else None)
    elements = [*NAMES, Element(name="m", kind="machine"), *([rare] if plant.rare else [])]
    return study(rows, elements, rater_sd_pct=None, **facts)


def timed(rng, plant, methods=("manual",)):
    """Studies of each method, and the mean of exp(slow) of those timed: half of an operator's variance follows him."""
    bias, made, slows = rng.normal(0, RATER_SD), [], []
    people = rng.normal(0, plant.operator_sd * np.sqrt(0.5), plant.operators)
    for method in methods:
        for who in range(plant.operators):
            slow = people[who] + rng.normal(0, plant.operator_sd * np.sqrt(0.5))
            slows.append(slow)
            for k in range(plant.studies):
                facts = {"study": f"{method}{who}-{k}", "operator": f"W{who}", "method": method}
                made.append(one_study(rng, plant, slow, bias, **facts))
    return made, float(np.mean(np.exp(slows[: plant.operators])))


METHOD = Method(
    method="manual",
    steps=(
        Step(name="mold", by="machine", constant_s=WINDOW_S, source="stated"),
        Step(name="e0", by="operator", element="e0", after_previous=("close",)),
        *(Step(name=name, by="operator", element=name) for name in (*NAMES[1:], "m")),
        Step(name="close", by="machine", constant_s=0.0, source="stated", after=("mold", "m")),
    ),
)
PATTERN = Pattern(pattern="P1", molds_per_year=Range.exactly(1.0), runs_per_year=1.0)


def line_truth(plant):
    """Mean of the longer of the operator's path and the machine's time, an operator in the middle of the crew. [s]"""
    rng = np.random.default_rng(1)
    own = series(rng, replace(plant, cycles=100_000, dependence=0.0)).sum(axis=1)
    return float(np.maximum(own + MACHINE_S * np.exp(rng.normal(0, 0.02, len(own))), WINDOW_S).mean())


def covered(plant, *, runs, seed, resamples=1000):
    """Share of runs whose interval holds the truth, and its mean half-width over the truth, by what it speaks of.

    `timed`: those timed; `crew`: an operator in the middle of the crew; `chart`: the crew's mold cycle where a machine
    works beside the operator; `saving`: of a second method of the same elements, none of which takes other times.
    """
    rng, held = np.random.default_rng(seed), {"timed": [], "crew": [], "chart": [], "saving": []}
    crew_s = MEANS.sum() + MACHINE_S + (RARE_S * OFTEN if plant.rare else 0.0)
    chart_s = line_truth(plant)
    for i in range(runs):
        studies, share = timed(rng, plant.drawn(rng), ("manual", "core setter"))
        found = case(studies, methods=(METHOD,), patterns=(PATTERN,))
        pooled = by_pattern(standards(found, resamples=resamples, seed=i))
        row, other = pooled["P1", "manual"], pooled["P1", "core setter"]
        held["timed"].append((MACHINE_S + (crew_s - MACHINE_S) * share, row.timed_low_s, row.timed_high_s))
        held["crew"].append((crew_s, row.standard_low_s, row.standard_high_s))
        held["saving"].append((crew_s, *(crew_s + end for end in interval(other.draws_s - row.draws_s))))
        if not plant.rare:
            (cycle,) = mold_cycles(found, [row], replications=400)
            held["chart"].append((chart_s, cycle.low_s, cycle.high_s))
    return {
        name: (float(np.mean([low <= x <= high for x, low, high in rows])),
               float(np.mean([(high - low) / 2 / x for x, low, high in rows])))
        for name, rows in held.items() if rows
    }  # fmt: skip


SURE = {"timed": (0.92, 1.0), "crew": (0.92, 1.0), "chart": (0.92, 1.0), "saving": (0.92, 1.0)}
"""Few cycles or operators who differ less than may be: a dependence, or a larger difference, cannot be excluded."""
MET = dict.fromkeys(SURE, (0.92, 0.98)) | {"timed": (0.90, 0.98)}
"""Where plants differ as is assumed beforehand no interval may be too wide either: nothing is counted twice.

The day is not in the truth of those timed, nor claimed in their interval.
"""
SCENARIOS = {
    "1 operator, 5 cycles": (Plant(cycles=5), SURE),
    "1 operator, 5 cycles, dependent": (Plant(cycles=5, dependence=0.4), SURE),
    "1 operator, 12 cycles": (Plant(), SURE),
    "1 operator, 12 cycles, dependent": (Plant(dependence=0.4), SURE),
    "1 operator, 40 cycles": (Plant(cycles=40), SURE),
    "1 operator, 40 cycles, operators 8 %": (Plant(cycles=40, operator_sd=0.08), SURE),
    "1 operator, 4 studies of 12": (Plant(studies=4), SURE),
    "1 operator, 4 studies of 40, dependent": (Plant(studies=4, cycles=40, dependence=0.4), SURE),
    "2 operators, 12 cycles each": (Plant(operators=2), SURE),
    "2 operators, 12 each, dependent, 8 %": (Plant(operators=2, dependence=0.4, operator_sd=0.08), SURE),
    "4 operators, 5 cycles each": (Plant(operators=4, cycles=5), SURE),
    "4 operators, 12 each": (Plant(operators=4), SURE),
    "4 operators, 40 each, dependent, 8 %": (Plant(operators=4, cycles=40, dependence=0.4, operator_sd=0.08), SURE),
    "1 operator, 12 cycles, as assumed": (Plant(as_assumed=True), MET),
    "1 operator, 40 cycles, as assumed": (Plant(cycles=40, as_assumed=True), MET),
    "2 operators, 12 each, as assumed": (Plant(operators=2, as_assumed=True), MET),
    "1 operator, 12 cycles, rare stated": (Plant(rare="stated"), SURE),
    "1 operator, 40 cycles, rare counted": (Plant(cycles=40, rare="counted"), SURE),
    "2 operators, 40 each, rare counted": (Plant(operators=2, cycles=40, rare="counted"), SURE),
}
"""By name: the plant, and what share may be held where it is not 92 to 98 %."""
