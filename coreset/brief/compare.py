"""Two cases side by side: which is worth more, and figure by figure. In: two assessments. Out: words and rows."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from coreset.brief.case_status import stages
from coreset.case import Case
from coreset.decision.headline import decision
from coreset.decision.verdict import NOT_FEASIBLE
from coreset.errors import CoresetError
from coreset.lifting.report.status import index_in_words, worst_index
from coreset.money.chances import Spread, chance, spread
from coreset.money.report.names import payback_interval, payback_value
from coreset.report.numbers import between, borne, listed, percent, rough
from coreset.text import say


def answer(first: Any, second: Any, names: tuple[str, str]) -> str:
    """Which of two cases is worth more with the option of its verdict, and whether the runs bear that out.

    Parameters
    ----------
    first, second : Assessment
        Of the open case, and of the one it is compared with.
    names : (str, str)
        Their names, in that order.
    """
    if first.money is None or second.money is None:
        return say("front.compare.no_money")
    if first.case.currency != second.case.currency:
        return say("front.compare.currencies", first=first.case.currency, second=second.case.currency)
    both = list(zip(names, (first, second), strict=True))
    if limited := [n for n, a in both if a.verdict.level == NOT_FEASIBLE]:
        return say("front.compare.not_feasible", names=listed(limited))
    said = [_ahead(first, second, names)]
    if unlikely := [n for n, a in both if not a.verdict.recommended]:
        said.append(say("front.compare.not_recommended", names=listed(unlikely)))
    return " ".join(said)


def _ahead(first: Any, second: Any, names: tuple[str, str]) -> str:
    gap = first.verdict.option.base_npv - second.verdict.option.base_npv
    better, worse = names if gap >= 0 else names[::-1]
    if (first.seed, first.money.draws) == (second.seed, second.money.draws):
        return _paired(first, second, names)
    key = "apart" if _apart(first.verdict.option.npv, second.verdict.option.npv) else "overlap"
    return say(f"front.compare.{key}", better=better, worse=worse, gap=rough(abs(gap)), currency=first.case.currency)


def _worth(assessment: Any) -> Any:
    """NPV of the option of the verdict, run by run. [currency]"""
    names = [row.name for row in assessment.money.alternatives]
    return assessment.money.worth_draws[:, 1 + names.index(assessment.verdict.option.name)]


def _paired(first: Any, second: Any, names: tuple[str, str]) -> str:
    """The same over runs in which inputs that both cases share are the same, since each has a stream by its name."""
    ahead = _worth(first) - _worth(second)
    if not ahead.any():
        return say("front.compare.same", first=names[0], second=names[1])
    better, worse = names if ahead.mean() >= 0 else names[::-1]
    ahead = ahead if ahead.mean() >= 0 else -ahead
    over = spread(ahead)
    return say(
        "front.compare.paired",
        better=better,
        worse=worse,
        gap=borne(over.mean, over.low, over.high),
        ends=between(over.low, over.high),
        chance=percent(chance(ahead > 0)),
        currency=first.case.currency,
    )


def _apart(a: Spread, b: Spread) -> bool:
    """Whether the 80 % intervals of the net present values do not meet."""
    return a.low > b.high or b.low > a.high


def lacking(name: str, case: Case, error: CoresetError) -> str:
    """What a case wants before it can be compared; where all is entered, why it cannot be calculated.

    Parameters
    ----------
    name : str
        Of the case.
    case : Case
        The case that could not be assessed.
    error : CoresetError
        Why; told only where nothing is left to enter.
    """
    wanting = [stage.words for stage in stages(case) if not stage.done]
    if wanting:
        return say("front.compare.lacking", name=name, words=listed(wanting))
    return say("front.compare.refused", name=name, why=str(error))


def changed_rows(first: Any, second: Any, names: tuple[str, str]) -> list[dict[str, str]]:
    """The figures of both cases, one a row.

    Parameters
    ----------
    first, second : Assessment
        Of the open case, and of the one it is compared with.
    names : (str, str)
        Their names, in that order: heads of their columns.
    """
    what = say("front.compare.what")
    return [
        {what: say(f"front.compare.{key}")} | {n: _said(make, a) for n, a in zip(names, (first, second), strict=True)}
        for key, make in FIGURES.items()
    ]


def _said(make: Callable[[Any], str], assessment: Any) -> str:
    return make(assessment) if assessment.money is not None else say("front.number.none")


def _worst(assessment: Any, method: str) -> str:
    worst = worst_index(assessment.handling)
    return index_in_words(*worst[method]) if method in worst else say("front.number.none")


def _payback(assessment: Any) -> str:
    option = assessment.verdict.option
    if not math.isfinite(option.payback_years):
        return say("front.number.never")
    return say(
        "front.compare.with_ends",
        value=payback_value(option.payback_years, option.payback),
        ends=payback_interval(option.payback),
    )


def _with_ends(base: float, value: Spread) -> str:
    ends = between(value.low, value.high)
    return say("front.compare.with_ends", value=borne(base, value.low, value.high), ends=ends)


FIGURES: dict[str, Callable[[Any], str]] = {
    "verdict": decision,
    "first_cost": lambda a: f"{rough(a.verdict.option.first_cost, 3)} {a.case.currency}",
    "saving": lambda a: _with_ends(a.verdict.option.yearly_saving, a.verdict.option.saving),
    "npv": lambda a: _with_ends(a.verdict.option.base_npv, a.verdict.option.npv),
    "payback": _payback,
    "chance": lambda a: percent(a.verdict.option.chance_npv_positive),
    "index_before": lambda a: _worst(a, a.case.baseline),
    "index_after": lambda a: _worst(a, a.verdict.option.method),
}
