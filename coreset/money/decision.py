"""The decision as one value: what the money room hands on to words, charts and pages."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from coreset.money.alternatives import Alternative, Claim, Scenario
from coreset.money.base_case import BaseCase
from coreset.money.chances import Spread
from coreset.money.correlation import Uncorrelated
from coreset.money.input_effects import Driver
from coreset.money.limits import Need
from coreset.money.on_demand import OnDemand
from coreset.money.pattern_choice import PatternSet
from coreset.money.pattern_economics import PatternMoney
from coreset.money.run_length_grid import Grid
from coreset.money.scrap import ScrapFinding
from coreset.money.sensitivity import HighestPrice
from coreset.money.shadow_values import ShadowValue
from coreset.money.study_value import Knowing, Study
from coreset.money.value_of_information import Perfect
from coreset.money.waiting import Waiting
from coreset.money.what_to_learn import BreakEven

SURE, LIKELY = 0.95, 0.80
NOT_FEASIBLE = "not_feasible"
"""The verdict where no set of patterns keeps the plant's limits, whatever it would be worth."""

ON_DEMAND = tuple(n for n, value in vars(OnDemand).items() if isinstance(value, cached_property) and n[0] != "_")
"""Parts of the decision that are worked out when first asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowYear:
    """Mean cash flow of one year: its parts, their total, and both cumulated, plain and discounted. [currency]"""

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What the purchase is worth, how sure that is, which patterns it is for, and what would change it.

    `base` has every input at its mean: its figures are worked out line by line, `break_evens` and `highest_price` rest
    on it, and `gap` names the present value of each item by which the mean of the runs lies apart from it.

    Flows are means over the draws, nominal, after tax if tax is on. `payback_years` is simple and interpolated,
    `payback_whole_years` counts whole years; infinite if the money does not come back. `npv_at_means` is the NPV with
    every input at its mean, from which the bars of the drivers start. `verdict`: pays (at least 95 %
    sure), likely_pays (80 %), open, unlikely, does_not_pay, or not_feasible: then `chosen` is empty, the figures are
    those of `nearest`, the set that comes nearest to the limits, and `needs` says what each broken limit would have to
    be; else `nearest` is `chosen`. A method that breaks a limit is no choice for the worth of knowing. The interval of
    `payback` holds 80 % of the draws; `worth_draws`, (draws, 1 + alternatives), is the NPV of each choice, the first
    column 0 for the current method.
    `payback_curve` pairs years with the chance that the money is back by then.
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
    later: OnDemand = field(repr=False, compare=False)

    @classmethod
    def parts(cls) -> tuple[str, ...]:
        """Names of all parts, those worked out when first asked for last."""
        return tuple(dict.fromkeys((*(f.name for f in fields(cls) if f.name != "later"), *ON_DEMAND)))

    @property
    def patterns(self) -> tuple[PatternMoney, ...]:
        """See :attr:`OnDemand.patterns`."""
        return self.later.patterns

    @property
    def grid(self) -> Grid | None:
        """See :attr:`OnDemand.grid`."""
        return self.later.grid

    @property
    def shadow_values(self) -> tuple[ShadowValue, ...]:
        """See :attr:`OnDemand.shadow_values`."""
        return self.later.shadow_values

    @property
    def waiting(self) -> Waiting | None:
        """See :attr:`OnDemand.waiting`."""
        return self.later.waiting

    @property
    def scenarios(self) -> tuple[Scenario, ...]:
        """See :attr:`OnDemand.scenarios`."""
        return self.later.scenarios

    @property
    def drivers(self) -> tuple[Driver, ...]:
        """See :attr:`OnDemand.drivers`."""
        return self.later.drivers

    @property
    def evpi(self) -> float:
        """See :attr:`OnDemand.evpi`."""
        return self.later.evpi

    @property
    def perfect(self) -> Perfect:
        """See :attr:`OnDemand.perfect`."""
        return self.later.perfect

    @property
    def noise_floor(self) -> float:
        """See :attr:`OnDemand.noise_floor`."""
        return self.later.noise_floor

    @property
    def knowing(self) -> tuple[Knowing, ...]:
        """See :attr:`OnDemand.knowing`."""
        return self.later.knowing

    @property
    def studies(self) -> tuple[Study, ...]:
        """See :attr:`OnDemand.studies`."""
        return self.later.studies

    @property
    def break_evens(self) -> tuple[BreakEven, ...]:
        """See :attr:`OnDemand.break_evens`."""
        return self.later.break_evens

    @property
    def highest_price(self) -> HighestPrice | None:
        """See :attr:`OnDemand.highest_price`."""
        return self.later.highest_price

    @property
    def uncorrelated(self) -> Uncorrelated | None:
        """See :attr:`OnDemand.uncorrelated`."""
        return self.later.uncorrelated


def verdict(chance_npv_positive: float) -> str:
    """The strongest word that the chance of a positive NPV bears.

    Examples
    --------
    >>> [verdict(p) for p in (0.97, 0.85, 0.5, 0.1, 0.01)]
    ['pays', 'likely_pays', 'open', 'unlikely', 'does_not_pay']
    """
    words = [(SURE, "pays"), (LIKELY, "likely_pays"), (1.0 - LIKELY, "open"), (1.0 - SURE, "unlikely")]
    return next((word for least, word in words if chance_npv_positive >= least - 1e-12), "does_not_pay")
