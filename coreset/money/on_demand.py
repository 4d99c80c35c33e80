"""Parts of the decision that are worked out when first asked for, and then kept.

In: what is weighed. Out: what moves the answer, what knowing more is worth, pattern by pattern, other volumes. Whoever
looks only at the headline of a changed input pays for none of this.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Money
from coreset.money import study_value
from coreset.money.alternatives import Scenario, scenarios
from coreset.money.base_case import BaseCase, base_case
from coreset.money.correlation import Uncorrelated, uncorrelated
from coreset.money.figures import MODEL
from coreset.money.input_effects import Driver, drivers
from coreset.money.pattern_economics import PatternMoney, pattern_rows
from coreset.money.run_length_grid import Grid, run_grid
from coreset.money.scrap import ScrapFinding
from coreset.money.sensitivity import HighestPrice, highest_price
from coreset.money.shadow_values import ShadowValue, shadow_values
from coreset.money.simulation_inputs import Sample, tied_groups
from coreset.money.study_value import Knowing, Study
from coreset.money.value_of_information import Perfect, evpi, perfect
from coreset.money.waiting import Waiting, waiting
from coreset.money.weighed import Weighed
from coreset.money.what_to_learn import KNOWING_DRAWS, BreakEven, Weighing, break_evens, choices, studies_first


@dataclass(frozen=True, kw_only=True, eq=False)
class OnDemand:
    """Everything of a decision that rests on the weighing and that not every reader asks for.

    Parameters
    ----------
    w : Weighing
        What is weighed.
    standards : tuple of Standard
        Cycles timed so far by pattern and method.
    rates : tuple of Rate
        Molds per scheduled hour by pattern and method.
    scrap : tuple of ScrapFinding
        What the scrap counts say.
    feasible : tuple of bool
        Whether each option weighed can be chosen; one that breaks a limit is worth what the current method is worth, 0.
    seed : int
        Seed of the runs.
    """

    w: Weighing
    standards: tuple[Any, ...]
    rates: tuple[Any, ...]
    scrap: tuple[ScrapFinding, ...]
    feasible: tuple[bool, ...]
    seed: int

    @cached_property
    def base(self) -> BaseCase:
        """The base case: every input at one fixed value."""
        w = self.w
        return base_case(w.sample, w.facts, w.way, w.case.money, w.mix.chosen)

    @cached_property
    def break_evens(self) -> tuple[BreakEven, ...]:
        """The value of each input at which the base case neither gains nor loses."""
        return break_evens(self.base)

    @cached_property
    def highest_price(self) -> HighestPrice | None:
        """The highest price of the setter that meets each limit of the plant; None without a setter."""
        money, base = self.w.case.money, self.base
        rule = "discounted_payback_years" if money.payback_rule == "discounted" else "payback_years"
        limits = {"payback_limit_years": money.payback_limit_years, "budget": money.budget, "payback": rule}
        return highest_price(MODEL, base.inputs, base.size, **limits) if self.w.way.mechanised else None

    @cached_property
    def uncorrelated(self) -> Uncorrelated | None:
        """The answer without correlation; None where the case states none."""
        return uncorrelated(self.w, self.rates, self.scrap, self.seed)

    @cached_property
    def patterns(self) -> tuple[PatternMoney, ...]:
        """What each pattern saves, from which run length and volume on."""
        w = self.w
        return pattern_rows(w.case, w.sample, w.facts, w.way, w.mix)

    @cached_property
    def grid(self) -> Grid | None:
        """Saving by run length and volume."""
        return run_grid(self.patterns, self.w.cost_of_change())

    @cached_property
    def shadow_values(self) -> tuple[ShadowValue, ...]:
        """What each limit that binds costs."""
        w = self.w
        return shadow_values(w.sample, w.facts, w.way, w.case.money, w.mix)

    @cached_property
    def waiting(self) -> Waiting | None:
        """Buying a year later, with the volumes known; None without a setter or a set that can be bought."""
        return waiting(self.w)

    @cached_property
    def scenarios(self) -> tuple[Scenario, ...]:
        """The same purchase under other volumes."""
        w = self.w
        return scenarios(w.case, w.sample, w.facts, w.way, w.mix.chosen)

    @cached_property
    def drivers(self) -> tuple[Driver, ...]:
        """What moves the answer, the widest bar first."""
        w = self.w
        others = {f"{key}.{option.option}" for option in w.case.options for key in option.stated(Money)}
        purchase = w.sample.without(others)
        return drivers(w.npv, purchase, groups=tied_groups(w.case.money, purchase.uncertain))

    @cached_property
    def _choices(self) -> NDArray[np.float64]:
        """NPV of each choice by run, (n, 1 + options)."""
        return choices(self.w, self.feasible)

    @cached_property
    def _some(self) -> tuple[NDArray[np.float64], Sample]:
        """Runs behind the worth of knowing."""
        return self._choices[:KNOWING_DRAWS], self.w.sample.rows(0, min(KNOWING_DRAWS, self.w.sample.n))

    @cached_property
    def evpi(self) -> float:
        """Most that any study can be worth. [currency]"""
        return evpi(self._choices)

    @cached_property
    def perfect(self) -> Perfect:
        """What the worth of knowing everything is made of."""
        return perfect(self._choices)

    @cached_property
    def noise_floor(self) -> float:
        """Worth that inputs which have nothing to do with the answer seem to have. [currency]"""
        return study_value.floor_of(self._some[0], self.seed)

    @cached_property
    def knowing(self) -> tuple[Knowing, ...]:
        """What it is worth to know each input."""
        return study_value.knowing(*self._some, self.noise_floor)

    @cached_property
    def studies(self) -> tuple[Study, ...]:
        """Studies that could be made first, by falling net worth."""
        floor = self.noise_floor
        return studies_first(self.w, self.standards, self.seed, feasible=self.feasible, floor=floor)


def on_demand(weighed: Weighed, standards: Iterable[Any], rates: Iterable[Any], seed: int) -> OnDemand:
    """The parts for a weighing; `standards`, `rates` and `seed` as for :func:`coreset.money.evaluate.weigh`.

    Parameters
    ----------
    weighed : Weighed
        Every option over all runs.
    standards : iterable of Standard
        Cycles timed so far by pattern and method.
    rates : iterable of Rate
        Molds per scheduled hour by pattern and method. [molds/h]
    seed : int
        Seed of the runs.
    """
    return OnDemand(
        w=weighed.purchase,
        standards=tuple(standards),
        rates=tuple(rates),
        scrap=weighed.scrap,
        feasible=weighed.feasible,
        seed=seed,
    )
