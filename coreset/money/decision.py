"""The decision as one value: what the money room hands on to words, charts and pages."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Money
from coreset.money import study_value
from coreset.money.alternatives import Alternative, Scenario, scenarios
from coreset.money.base_case import BaseCase
from coreset.money.chances import Spread
from coreset.money.claims import Claim
from coreset.money.correlation import Uncorrelated, uncorrelated
from coreset.money.figures import MODEL
from coreset.money.input_effects import InputEffect, drivers
from coreset.money.limits import Need
from coreset.money.pattern_choice import PatternSet
from coreset.money.pattern_economics import PatternMoney, pattern_rows
from coreset.money.run_length_grid import Grid, run_grid
from coreset.money.scrap import ScrapFinding
from coreset.money.sensitivity import HighestPrice, highest_price
from coreset.money.shadow_values import ShadowValue, shadow_values
from coreset.money.simulation_inputs import Sample, tied_groups
from coreset.money.study_value import Knowing, StudyWorth
from coreset.money.value_of_information import Perfect, evpi, perfect
from coreset.money.waiting import Waiting, waiting
from coreset.money.weighed import Weighed, every_option, unwatched
from coreset.money.what_to_learn import KNOWING_DRAWS, BreakEven, Weighing, break_evens, choices, studies_first

SURE, LIKELY = 0.95, 0.80
NOT_FEASIBLE = "not_feasible"
"""The verdict where no set of patterns keeps the plant's limits, whatever it would be worth."""

MADE_FROM = ("case", "standards", "rates", "screened", "weighed")
"""Fields that say what a decision was worked out from; they are none of its parts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowYear:
    """Base case of one year: parts of the cash flow, their total, cumulated plain and discounted. [currency]"""

    year: int
    parts: dict[str, float]
    total: float
    cumulative: float
    discounted_cumulative: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FanYear:
    """Discounted money cumulated to the end of a year: middle, and the interval that holds 80 % of the draws."""

    year: int
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """Something that the reader must know: a code of money.notes and the blanks of its sentence."""

    code: str
    blanks: dict[str, str | float] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True, eq=False)
class Decision:
    """What the purchase is worth, how sure that is, which patterns it is for, and what would change it.

    `base` has every input at its mean: its figures are worked out line by line, `break_evens` and `highest_price` rest
    on it, and `gap` names the present value of each item by which the mean of the runs lies apart from it.

    Flows, first cost, paybacks and rates of return are those of the base case, nominal, after tax if tax is on; `npv`
    is the mean of the runs, by which patterns and options are chosen. `payback_years` is simple and interpolated,
    `payback_whole_years` counts whole years; infinite if the money does not come back. `npv_at_means` and
    `saving_at_means` are NPV and yearly saving with every input at its mean, from which the bars of the drivers start.
    `verdict`: pays (at least 95 % sure), likely_pays (80 %), open, unlikely, does_not_pay, or not_feasible: then
    `chosen` is empty, the figures are those of `nearest`, the set that comes nearest to the limits, and `needs` says
    what each broken limit would have to be; else `nearest` is `chosen`. A method that breaks a limit is no choice for
    the worth of knowing. The interval of `payback` holds 80 % of the draws; `worth_draws`, (draws, 1 + alternatives),
    is the NPV of each choice, the first column 0 for the current method.
    `payback_curve` pairs years with the chance that the money is back by then.
    What no headline needs is worked out when first asked for and then stays; `complete` works out all of it.
    """

    currency: str
    baseline: str
    candidate: str
    years: int
    discount_rate: float
    draws: int
    seed: int
    range_meaning: str
    verdict: str
    chosen: tuple[str, ...]
    nearest: tuple[str, ...]
    forced: tuple[str, ...]
    needs: tuple[Need, ...]
    first_cost: float
    yearly_saving: Spread
    hours_saved: float
    molds_sold: float
    hours_needed: float
    hours_available: float
    overtime_limit_h: float
    line_hours: float
    setter_hours: float
    cash_flow: tuple[FlowYear, ...]
    fan: tuple[FanYear, ...]
    npv: float
    npv_at_means: float
    saving_at_means: float
    base: BaseCase
    gap: dict[str, float]
    npv_spread: Spread
    irr: tuple[float, ...]
    irr_sign_changes: int
    mirr: float
    payback_years: float
    payback_spread: Spread
    payback_whole_years: float
    discounted_payback_years: float
    discounted_payback_spread: Spread
    payback_limit_years: float
    payback_rule: str
    chance_npv_positive: float
    chance_payback: float
    payback_curve: tuple[tuple[float, float], ...]
    chance_npv_negative: float
    mean_loss_if_it_loses: float
    loss_if_bought: float
    loss_if_not: float
    equivalent_annual_cost_baseline: float
    equivalent_annual_cost_candidate: float
    sets: tuple[PatternSet, ...]
    last_in: str
    first_out: str
    alternatives: tuple[Alternative, ...]
    cheapest_risk_step: str
    claims: tuple[Claim, ...]
    claim_npv: float
    scrap: tuple[ScrapFinding, ...]
    notes: tuple[Note, ...]
    npv_draws: NDArray[np.float64]
    payback_draws: NDArray[np.float64]
    discounted_payback_draws: NDArray[np.float64]
    saving_draws: NDArray[np.float64]
    worth_draws: NDArray[np.float64]
    case: Case = field(repr=False)
    standards: tuple[Any, ...] = field(repr=False)
    rates: tuple[Any, ...] = field(repr=False)
    screened: tuple[Any, ...] = field(repr=False)
    weighed: Weighed | None = field(default=None, repr=False, metadata={"stored": False})

    @classmethod
    def parts(cls) -> tuple[str, ...]:
        """Names of all parts, those worked out when first asked for last; what it was worked out from is none."""
        of_all = [f.name for f in fields(cls) if f.name not in MADE_FROM]
        return (*of_all, *(n for n, value in vars(cls).items() if isinstance(value, cached_property) and n[0] != "_"))

    def complete(self) -> Decision:
        """This decision, every part of it worked out."""
        for name in self.parts():
            getattr(self, name)
        return self

    @cached_property
    def _weighed(self) -> Weighed:
        """Every option over all runs; of a decision read from a file the same runs again."""
        if self.weighed is not None:
            return self.weighed
        return every_option(self.case, self.rates, self.screened, (self.draws, self.seed), unwatched)

    @property
    def _w(self) -> Weighing:
        return self._weighed.purchase

    @cached_property
    def break_evens(self) -> tuple[BreakEven, ...]:
        """The value of each input at which the base case neither gains nor loses."""
        return break_evens(self.base)

    @cached_property
    def highest_price(self) -> HighestPrice | None:
        """The highest price of the setter that meets each limit of the plant; None without a setter."""
        money, base = self._w.case.money, self.base
        rule = "discounted_payback_years" if money.payback_rule == "discounted" else "payback_years"
        limits: dict[str, Any] = {
            "payback_limit_years": money.payback_limit_years,
            "budget": money.budget,
            "payback": rule,
        }
        return highest_price(MODEL, base.inputs, base.size, **limits) if self._w.way.mechanised else None

    @cached_property
    def uncorrelated(self) -> Uncorrelated | None:
        """The answer without correlation; None where the case states none."""
        return uncorrelated(self._w, self.rates, self.scrap, self.seed)

    @cached_property
    def patterns(self) -> tuple[PatternMoney, ...]:
        """What each pattern saves, from which run length and volume on."""
        w = self._w
        return pattern_rows(w.case, w.sample, w.facts, w.way, w.mix)

    @cached_property
    def grid(self) -> Grid | None:
        """Saving by run length and volume."""
        return run_grid(self.patterns, self._w.cost_of_change())

    @cached_property
    def shadow_values(self) -> tuple[ShadowValue, ...]:
        """What each limit that binds costs."""
        w = self._w
        return shadow_values(w.sample, w.facts, w.way, w.case.money, w.mix)

    @cached_property
    def waiting(self) -> Waiting | None:
        """Buying a year later, with the volumes known; None without a setter or a set that can be bought."""
        return waiting(self._w)

    @cached_property
    def scenarios(self) -> tuple[Scenario, ...]:
        """The same purchase under other volumes."""
        w = self._w
        return scenarios(w.case, w.sample, w.facts, w.way, w.mix.chosen)

    @cached_property
    def drivers(self) -> tuple[InputEffect, ...]:
        """What moves the answer, the widest bar first."""
        w = self._w
        others = {f"{key}.{option.option}" for option in w.case.options for key in option.stated(Money)}
        purchase = w.sample.without(others)
        return drivers(w.npv, purchase, groups=tied_groups(w.case.money, purchase.uncertain))

    @cached_property
    def _choices(self) -> NDArray[np.float64]:
        """NPV of each choice by run, (n, 1 + options)."""
        return choices(self._w, self._weighed.feasible)

    @cached_property
    def _some(self) -> tuple[NDArray[np.float64], Sample]:
        """Runs behind the worth of knowing."""
        return self._choices[:KNOWING_DRAWS], self._w.sample.rows(0, min(KNOWING_DRAWS, self._w.sample.n))

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
    def studies(self) -> tuple[StudyWorth, ...]:
        """Studies that could be made first, by falling net worth."""
        floor = self.noise_floor
        return studies_first(self._w, self.standards, self.seed, feasible=self._weighed.feasible, floor=floor)


def verdict(chance_npv_positive: float) -> str:
    """The strongest word that the chance of a positive NPV bears.

    Examples
    --------
    >>> [verdict(p) for p in (0.97, 0.85, 0.5, 0.1, 0.01)]
    ['pays', 'likely_pays', 'open', 'unlikely', 'does_not_pay']
    """
    words = [(SURE, "pays"), (LIKELY, "likely_pays"), (1.0 - LIKELY, "open"), (1.0 - SURE, "unlikely")]
    return next((word for least, word in words if chance_npv_positive >= least - 1e-12), "does_not_pay")
