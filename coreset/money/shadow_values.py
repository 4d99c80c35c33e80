"""What a limit of the plant costs: the set that would be best without it, what that takes, and what it is worth more.

In: inputs, the option, the best set. Out: one value for each limit that binds.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from coreset.case import Money
from coreset.money.limits import limits_broken
from coreset.money.pattern_choice import Mix, best_mix, eligible, mean_worth
from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way

RELAXED = ("budget", "mask_places")
"""Limits that only select; line hours also bound what is made by both methods, so that they are not relaxed here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShadowValue:
    """One limit that binds.

    `limit`: budget [currency] or mask_places [-]; the plant has `has` of it, the set that is best without it needs
    `needed`. `patterns`: those that would go over as well; `gain`: worth of that set less that of the chosen one, mean
    over the runs compared. [currency]
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
    found = [_relaxed(sample, plan, way, money, mix, limit) for limit in RELAXED if getattr(money, limit) is not None]
    return tuple(each for each in found if each is not None)


def _relaxed(sample: Sample, plan: Plan, way: Way, money: Money, mix: Mix, limit: str) -> ShadowValue | None:
    every = np.array([[float(i in eligible(plan, way, sample))] for i in range(len(plan.patterns))])
    if limit not in {need.limit for need in limits_broken(sample, plan, way, money, every)}:
        return None  # no set takes more of it than that of all patterns
    free = replace(money, **{limit: None})
    best = best_mix(sample, plan, way, free, mix.forced)
    taken = {need.limit: need for need in limits_broken(sample, plan, way, money, best.chosen)}
    if best.needs or limit not in taken:
        return None
    now, then = (mean_worth(sample, plan, way, free, each.chosen[:, 0]) for each in (mix, best))
    more = np.flatnonzero(best.chosen[:, 0] > mix.chosen[:, 0])
    return ShadowValue(
        limit=limit,
        has=taken[limit].has,
        needed=taken[limit].least,
        patterns=tuple(plan.patterns[i] for i in more),
        gain=then - now,
    )
