"""What is weighed, at what value of an input its answer turns, and where its runs lie apart from its base case.

In: the candidate way with its flows. Out: parts of the decision, by name.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Line, Money, Setter, most
from coreset.money import study_value
from coreset.money.base_case import BaseCase
from coreset.money.cash_flow import FIRST_ITEMS, NAMES, YEARLY_ITEMS, Flow, flows
from coreset.money.discount import factors, npv
from coreset.money.figures import MODEL
from coreset.money.pattern_choice import Mix
from coreset.money.sensitivity import SensitivityInput, break_even
from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way, rate_name

KNOWING_DRAWS = 32_768
"""Runs on which the worth of knowing is regressed; its noise floor is of as many."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """What is weighed: the candidate way for the chosen set, its flows, and the worth of all ways, (n, ways).

    `base_flow` is its flow with every input at its mean, one run.
    """

    case: Case
    sample: Sample
    facts: Plan
    way: Way
    mix: Mix
    flow: Flow
    base_flow: Flow
    worth: NDArray[np.float64]

    @property
    def rate(self) -> float:
        """Discount rate a year."""
        return self.case.money.discount_rate

    @property
    def base_npv(self) -> float:
        """NPV with every input at its mean. [currency]"""
        return float(npv(self.base_flow.total, self.rate)[0])

    def npv(self, sample: Sample) -> NDArray[np.float64]:
        """NPV of the chosen set on other values of the inputs."""
        return npv(flows(sample, self.facts, self.way, self.case.money, self.mix.chosen), self.rate)

    @property
    def pay(self) -> float:
        """Employer's cost of one person's hour, at the means."""
        centre = self.sample.centre()
        return float(centre["wage_per_h"] * centre["employer_factor"] * self.facts.figure("shift_factor"))

    def cost_of_change(self) -> float:
        """Pay of the line during one mask change, at the means."""
        crew = self.sample.centre()["line_crew"] + self.way.operators
        return float(self.facts.figure("mask_change_h") * crew * self.pay)


def choices(w: Weighing, feasible: Iterable[bool] | None) -> NDArray[np.float64]:
    """Worth of all options run by run; 0 for one that breaks a limit and so cannot be chosen."""
    return w.worth * (np.ones(w.worth.shape[1]) if feasible is None else np.array([1.0, *feasible]))


def studies_first(
    w: Weighing,
    standards: Iterable[Any],
    seed: int,
    *,
    feasible: Iterable[bool] | None = None,
    floor: float | None = None,
) -> tuple[study_value.StudyWorth, ...]:
    """Studies that could be made before the decision, what each is worth against its cost.

    Parameters
    ----------
    w : Weighing
        Drawn inputs with the worth of each option.
    standards : iterable
        Standard times with the cycles behind them.
    seed : int
        Seed of the runs.
    feasible : iterable of bool, optional
        Which options the plant can choose; all where it is not given.
    floor : float, optional
        Value below which a study is noise; calculated where it is not given. [currency]
    """
    fewer = w.sample.rows(0, min(KNOWING_DRAWS, w.sample.n))
    able = True if feasible is None else (feasible := tuple(feasible))[0]
    worth = choices(w, feasible)[:KNOWING_DRAWS]
    cycles: dict[tuple[str, str], int] = {}
    for row in standards:
        cycles[row.pattern, row.method] = cycles.get((row.pattern, row.method), 0) + int(row.cycles)
    return study_value.studies(
        worth,
        fewer,
        w.case.money,
        cycles,
        floor=study_value.floor_of(worth, seed) if floor is None else floor,
        seed=seed,
        without=_without_doubt(w, fewer, float(able)),
    )


def _without_doubt(w: Weighing, sample: Sample, able: float = 1.0) -> NDArray[np.float64] | None:
    """Worth of the chosen set less each pattern whose hold is in doubt, (n, patterns in doubt); None where none is.

    Also None where no set is feasible, `able` 0.
    """
    if not able:
        return None
    held = {name.removeprefix("held.") for name in sample.uncertain if name.startswith("held.")}
    doubtful = [i for i, code in enumerate(w.facts.patterns) if code in held and w.mix.chosen[i, 0]]
    worth = []
    for i in doubtful[: study_value.MOST_TRIED]:
        chosen = w.mix.chosen.copy()
        chosen[i] = 0.0
        worth.append(npv(flows(sample, w.facts, w.way, w.case.money, chosen), w.rate))
    return np.stack(worth, axis=1) if worth else None


def if_claim_held(w: Weighing, claims: Iterable[Any], rates: Iterable[Any]) -> float:
    """NPV at the mean of every input if the mold cycle were what the vendor claims; NaN without a claim.

    The line was run at the claimed mold cycle: what else holds it down stays held down.

    Parameters
    ----------
    w : Weighing
        What is weighed.
    claims : iterable of Claim
        Claimed and studied mold cycle by pattern. [s]
    rates : iterable of Rate
        Molds per scheduled hour by pattern and method. [molds/h]
    """
    centre, changed = w.sample.centre(), {}
    known = {rate.pattern: rate for rate in rates if rate.method == w.case.candidate}
    for row in claims:
        name = rate_name(row.pattern, w.case.candidate)
        if name in centre.values:
            rate = known[row.pattern]
            changed[name] = centre[name] * rate.at(row.claimed_s / row.studied_s) / rate.at(1.0)
    return float(w.npv(centre.changed(changed))[0]) if changed else math.nan


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakEven:
    """The value of one input, nearest to its own, at which the NPV of the base case is 0; NaN where it never is.

    `pattern` is empty for an input of the plant. `low` and `high` are the ends between which it was searched.
    """

    key: str
    pattern: str
    unit: str
    value: float
    low: float
    high: float
    break_even: float


TENFOLD = 10.0
"""A break-even is searched up to so many times the input; of a rate also down to as small a part of it."""
SHARES = frozenset(
    f.name for kind in (Money, Line, Setter) for f in fields(kind) if f.type == "Share" or most(kind, f.name) == 1.0
)
COUNTED = frozenset(("moved", "moved_from", "holds", "runs_counted", "overhaul_year", "replacement_year"))
"""Inputs that state what is done and when, not how much."""


def break_evens(base: BaseCase) -> tuple[BreakEven, ...]:
    """One row for each entered or calculated number that the NPV of the base case rests on and that is not 0."""
    found = {}
    for key in MODEL.behind("npv"):
        one = MODEL.inputs[key]
        if one.constant or key in COUNTED or one.axes not in {"", "p"} or key not in base.inputs:
            continue
        for place in range(len(base.patterns)) if one.axes else (None,):
            if value := base.number(key, place or 0):
                found[SensitivityInput(key, place)] = _ends(key, value)
    crossings = break_even(MODEL, base.inputs, base.size, found)
    return tuple(
        BreakEven(
            key=entry.key,
            pattern="" if entry.pattern is None else base.patterns[entry.pattern],
            unit=MODEL.unit(entry.key),
            value=base.number(entry.key, entry.pattern or 0),
            low=low,
            high=high,
            break_even=crossings[entry],
        )
        for entry, (low, high) in found.items()
    )


def _ends(key: str, value: float) -> tuple[float, float]:
    if key in SHARES:
        return 0.0, 1.0
    least = value / TENFOLD if MODEL.inputs[key].carried or value < 0 else 0.0
    return min(least, TENFOLD * value), max(least, TENFOLD * value)


def gap(base: BaseCase, flow: Flow, rate: float) -> dict[str, float]:
    """Present value of each item, mean of the runs less base case, the largest first; they add up to that of the NPV.

    Items differ because some set in only in part of the runs (overtime, molds sold), or go by a quotient of inputs.

    Parameters
    ----------
    base : BaseCase
        Every input at one fixed value.
    flow : Flow
        Cash flow of the option over all runs. [currency]
    rate : float
        Discount rate. [1/year]
    """
    factor = factors(rate, base.years)
    at_base = {key: base.flow(key) for key in YEARLY_ITEMS} | {key: base.flow(key) for key in FIRST_ITEMS}
    found = {}
    for key, values in at_base.items():
        fixed = np.zeros(base.years + 1)
        fixed[0 if key in FIRST_ITEMS else slice(1, None)] = -values[0] if key in FIRST_ITEMS else values
        mean = flow.means.get(NAMES.get(key, key), np.zeros(base.years + 1))
        found[NAMES.get(key, key)] = float((mean - fixed) @ factor)
    return dict(sorted(found.items(), key=lambda item: -abs(item[1])))
