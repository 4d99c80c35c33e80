"""What the verdict needs of the money, and no more: for an answer while an input is being changed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.money.alternatives import Alternative
from coreset.money.limits import Need
from coreset.money.study_value import Study
from coreset.money.weighed import every_option, unwatched
from coreset.money.what_to_learn import studies_first


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The part of a `Decision` that its verdict rests on; each field as there, with the same numbers."""

    currency: str
    candidate: str
    years: int
    discount_rate: float
    payback_limit_years: float
    payback_rule: str
    needs: tuple[Need, ...]
    alternatives: tuple[Alternative, ...]
    studies: tuple[Study, ...]
    worth_draws: NDArray[np.float64]


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
        needs=weighed.purchase.mix.needs,
        alternatives=weighed.rows,
        studies=studies_first(weighed.purchase, standards, seed, feasible=weighed.feasible),
        worth_draws=weighed.purchase.worth,
    )
