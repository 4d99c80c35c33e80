"""What a limit of the plant costs: the set that would be best without it, what that takes, and what it is worth more.

In: inputs, the option, the best set. Out: one value for each limit that binds.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from coreset.case import Money
from coreset.money.limits import limits_broken, weighed
from coreset.money.pattern_choice import Mix, best_mix, eligible, mean_worth
from coreset.money.set_selection import ROUND_OFF
from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way

RELAXED = {"budget": "budget", "mask_places": "mask_places", "setter_hours": "setter_hours_limit"}
"""Limits that only select, with the input that states each.

Line hours also bound what is made by both methods: see `_more_overtime`."""
OVERTIME = "overtime_limit_h_per_year"
NO_LIMIT_H = 8_784.0
"""Hours of a leap year: no line needs more overtime."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShadowValue:
    """One limit that binds.

    `limit`: budget [currency], mask_places [-], setter_hours or overtime [h/year]; the plant has `has` of it, the set
    that is best without it needs `needed`. `patterns`: those that would go over as well; `gain`: worth of that set less
    that of the chosen one, mean over the runs compared. [currency]
    """

    limit: str
    has: float
    needed: float
    patterns: tuple[str, ...]
    gain: float


def shadow_values(sample: Sample, plan: Plan, way: Way, money: Money, mix: Mix) -> tuple[ShadowValue, ...]:
    """The limits that bind, each relaxed by itself while the others hold.

    Parameters
    ----------
    sample, plan, way, money : Sample, Plan, Way, Money
        As for :func:`coreset.money.pattern_choice.best_mix`.
    mix : Mix
        The best set under every limit.

    Returns
    -------
    tuple of ShadowValue
        Empty where no limit binds, and where no set keeps the limits: then `mix.needs` says what is missing.
    """
    if mix.needs:
        return ()
    found = [
        _relaxed(sample, plan, way, money, mix, limit)
        for limit, key in RELAXED.items()
        if getattr(money, key) is not None
    ]
    found.append(_more_overtime(sample, plan, way, money, mix))
    return tuple(each for each in found if each is not None)


def _more_overtime(sample: Sample, plan: Plan, way: Way, money: Money, mix: Mix) -> ShadowValue | None:
    """Line hours that bind, relaxed by overtime: the set that is best with as much as it takes, its premium paid.

    More overtime also lets both methods make more of the volume; that is part of the gain.
    """
    count, limit = len(plan.patterns), plan.hours_available + plan.overtime_h
    alone = weighed(sample.centre(), plan, way, money, np.column_stack([np.zeros(count), np.eye(count)]))[2][0]
    if alone[0] + np.maximum(alone[1:] - alone[0], 0.0).sum() <= limit:
        return None  # no set takes more hours than there are
    free = best_mix(sample, plan.changed(**{OVERTIME: NO_LIMIT_H}), way, money, mix.forced)
    hours = weighed(sample.centre(), plan, way, money, free.chosen)[2][0]
    needed = float(hours[0]) - plan.hours_available
    if free.needs or needed <= plan.overtime_h * (1 + ROUND_OFF):
        return None
    then = plan.changed(**{OVERTIME: needed})
    best = best_mix(sample, then, way, money, mix.forced)
    return ShadowValue(
        limit="overtime",
        has=plan.overtime_h,
        needed=needed,
        patterns=_more(plan, best, mix),
        gain=mean_worth(sample, then, way, money, best.chosen[:, 0])
        - mean_worth(sample, plan, way, money, mix.chosen[:, 0]),
    )


def _more(plan: Plan, best: Mix, mix: Mix) -> tuple[str, ...]:
    """Patterns of a set that are not in the chosen one."""
    return tuple(plan.patterns[i] for i in np.flatnonzero(best.chosen[:, 0] > mix.chosen[:, 0]))


def _relaxed(sample: Sample, plan: Plan, way: Way, money: Money, mix: Mix, limit: str) -> ShadowValue | None:
    every = np.array([[float(i in eligible(plan, way, sample))] for i in range(len(plan.patterns))])
    if limit not in {need.limit for need in limits_broken(sample, plan, way, money, every)}:
        return None  # no set takes more of it than that of all patterns
    none: dict[str, Any] = {RELAXED[limit]: None}
    free = replace(money, **none)
    best = best_mix(sample, plan, way, free, mix.forced)
    taken = {need.limit: need for need in limits_broken(sample, plan, way, money, best.chosen)}
    if best.needs or limit not in taken:
        return None
    now, then = (mean_worth(sample, plan, way, free, each.chosen[:, 0]) for each in (mix, best))
    return ShadowValue(
        limit=limit,
        has=taken[limit].has,
        needed=taken[limit].least,
        patterns=_more(plan, best, mix),
        gain=then - now,
    )
