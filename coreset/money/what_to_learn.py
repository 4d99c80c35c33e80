"""What is weighed, what would change it, and what knowing more of it would be worth.

In: the candidate way with its flows. Out: parts of the decision, by name.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.money import study_value
from coreset.money.cash_flow import Flow, cash_flow
from coreset.money.discount import npv
from coreset.money.input_effects import drivers
from coreset.money.pattern_choice import Mix
from coreset.money.simulation_inputs import Sample, tied_groups
from coreset.money.value_of_information import evpi, perfect
from coreset.money.year_plan import Plan, Way, rate_name

KNOWING_DRAWS = 32_768
"""Draws on which the worth of knowing is regressed; its noise floor is of as many."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """What is weighed: the candidate way for the chosen set, its flows, and the worth of all ways, (n, ways)."""

    case: Case
    sample: Sample
    facts: Plan
    way: Way
    mix: Mix
    flow: Flow
    worth: NDArray[np.float64]

    @property
    def rate(self) -> float:
        """Discount rate a year."""
        return self.case.money.discount_rate

    def npv(self, sample: Sample) -> NDArray[np.float64]:
        """NPV of the chosen set on other values of the inputs."""
        return npv(cash_flow(sample, self.facts, self.way, self.case.money, self.mix.chosen).total, self.rate)


def knowledge(
    w: Weighing, standards: Iterable[Any], seed: int, *, feasible: Iterable[bool] | None = None
) -> dict[str, Any]:
    """What moves the answer and what would be worth studying.

    `feasible`, one a method weighed, all where left out: one that breaks a limit cannot be chosen, and is worth what
    the current method is worth, 0.
    """
    able = np.ones(w.worth.shape[1]) if feasible is None else np.array([1.0, *feasible])
    choices = w.worth * able
    fewer, worth = w.sample.rows(0, min(KNOWING_DRAWS, w.sample.n)), choices[:KNOWING_DRAWS]
    floor = study_value.floor_of(worth, seed)
    cycles: dict[tuple[str, str], int] = {}
    for row in standards:
        cycles[row.pattern, row.method] = cycles.get((row.pattern, row.method), 0) + int(row.cycles)
    return {
        "drivers": drivers(w.npv, w.sample, groups=tied_groups(w.case.money, w.sample.uncertain)),
        "evpi": evpi(choices),
        "perfect": perfect(choices),
        "noise_floor": floor,
        "knowing": study_value.knowing(worth, fewer, floor),
        "studies": study_value.studies(
            worth, fewer, w.case.money, cycles, floor=floor, seed=seed, without=_without_doubt(w, fewer, able[1])
        ),
    }


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
        worth.append(npv(cash_flow(sample, w.facts, w.way, w.case.money, chosen).total, w.rate))
    return np.stack(worth, axis=1) if worth else None


def if_claim_held(w: Weighing, claims: Iterable[Any], rates: Iterable[Any]) -> float:
    """NPV at the mean of every input if the mold cycle were what the vendor claims; NaN without a claim.

    What pouring, cooling or shake-out hold down stays held down.
    """
    centre, changed = w.sample.centre(), {}
    ceiling = {rate.pattern: _ceiling(rate) for rate in rates if rate.method == w.case.candidate}
    for row in claims:
        name = rate_name(row.pattern, w.case.candidate)
        if name in centre.values:
            changed[name] = min(centre[name] * row.studied_s / row.claimed_s, ceiling[row.pattern])
    return float(w.npv(centre.changed(changed))[0]) if changed else math.nan


def _ceiling(rate: Any) -> float:
    """Molds per scheduled hour that the rest of the line can take."""
    beyond = [value for where, value in getattr(rate, "limits", {}).items() if where != "molding"]
    return min(beyond, default=math.inf) * getattr(rate, "uptime", 1.0)
