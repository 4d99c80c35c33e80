"""What the verdict needs of the money, and no more: for an answer while an input is being changed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.money.alternatives import Alternative
from coreset.money.discount import payback
from coreset.money.limits import Need
from coreset.money.study_value import Study
from coreset.money.waiting import Waiting, waiting
from coreset.money.weighed import Weighed, every_option, unwatched
from coreset.money.what_to_learn import studies_first


@dataclass(frozen=True, kw_only=True, eq=False)
class Answer:
    """The part of a `Decision` that its verdict rests on; each field as there, with the same numbers.

    `studies` are worked out when they are asked for: a verdict that is plain without them does not wait for them.
    """

    currency: str
    candidate: str
    years: int
    discount_rate: float
    payback_limit_years: float
    payback_rule: str
    seed: int
    standards: tuple[Any, ...]
    weighed: Weighed

    @property
    def needs(self) -> tuple[Need, ...]:
        """What each broken limit would have to be; empty where a set keeps all."""
        return self.weighed.purchase.mix.needs

    @property
    def alternatives(self) -> tuple[Alternative, ...]:
        """The options, the purchase first."""
        return self.weighed.rows

    @property
    def worth_draws(self) -> NDArray[np.float64]:
        """NPV of each option, the current method first, (runs, 1 + options). [currency]"""
        return self.weighed.purchase.worth

    @cached_property
    def payback_draws(self) -> NDArray[np.float64]:
        """Simple payback of the purchase, (runs,). [years]"""
        return np.asarray(payback(self.weighed.purchase.flow.total))

    @cached_property
    def discounted_payback_draws(self) -> NDArray[np.float64]:
        """Discounted payback of the purchase, (runs,). [years]"""
        return np.asarray(payback(self.weighed.purchase.flow.total, self.discount_rate))

    @cached_property
    def waiting(self) -> Waiting | None:
        """Buying a year later, with the volumes known."""
        return waiting(self.weighed.purchase)

    @cached_property
    def studies(self) -> tuple[Study, ...]:
        """Studies that could be made before the decision."""
        return studies_first(self.weighed.purchase, self.standards, self.seed, feasible=self.weighed.feasible)


def answer(
    case: Case, standards: Iterable[Any], rates: Iterable[Any], screened: Iterable[Any], *, draws: int, seed: int
) -> Answer:
    """The part of `weigh` that the verdict rests on, with the same numbers; nothing else is calculated.

    Parameters
    ----------
    case, standards, rates, screened, draws, seed
        As for :func:`coreset.money.evaluate.weigh`.

    Raises
    ------
    OutOfRange
        If no pattern has a rate under the current method.
    """
    weighed = every_option(case, tuple(rates), tuple(screened), (draws, seed), unwatched)
    return Answer(
        currency=case.currency,
        candidate=case.candidate,
        years=case.money.years,
        discount_rate=case.money.discount_rate,
        payback_limit_years=case.money.payback_limit_years,
        payback_rule=case.money.payback_rule,
        seed=seed,
        standards=tuple(standards),
        weighed=weighed,
    )
