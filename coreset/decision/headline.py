"""The answer in one sentence, and the four figures that carry it. In: an assessment. Out: words."""

from __future__ import annotations

import math
from typing import Any

from coreset.money.report.names import (
    input_name,
    needs,
    payback_interval,
    payback_value,
    plain_years,
    study_name,
)
from coreset.report.blocks import FigureBlock
from coreset.report.numbers import SPACE, between, borne, listed, number, percent, styled
from coreset.text import say

LIKELY = 0.80
"""Share of the draws that the intervals of the money hold."""
WORTH_A_WORD = 0.005
"""Share of the first cost below which knowing everything is not worth a word: our own rule, no source."""


def decision(assessment: Any) -> str:
    """The decision in one sentence: for which patterns, how soon it pays, how sure, what to measure next.

    Parameters
    ----------
    assessment : Assessment
        The whole job; `money` None where no price is known.

    Returns
    -------
    str
        Plain text in the style of the case.
    """
    money = assessment.money
    if money is None:
        return say("brief.decision.no_money")
    # An answer that nothing could change asks for no further study.
    parts = [verdict(assessment)]
    if not money.needs:
        parts += [_payback(money), say("brief.decision.next", what=measure_next(money))]
    sentence = say("brief.decision.sentence", parts="; ".join(filter(None, parts)))
    return styled(sentence, assessment.case).replace(SPACE, " ")


def verdict(assessment: Any) -> str:
    """Whether the setter pays, for which patterns; where no set fits the limits, what it would take."""
    money = assessment.money
    blanks = {"needs": needs(money.needs, assessment.case.currency)} if money.needs else {}
    return say(f"brief.verdict.{money.verdict}", patterns=listed(money.nearest) or say("brief.no_pattern"), **blanks)


def _payback(money: Any) -> str:
    spread, limit = money.payback_spread, money.payback_limit_years
    sure = say("brief.decision.sure", chance=percent(money.chance_payback), limit=plain_years(limit)) if limit else ""
    if not math.isfinite(money.payback_years):
        return "; ".join(filter(None, [say("brief.decision.never"), sure]))
    sentence = say("brief.decision.payback", value=payback_value(money), interval=payback_interval(spread))
    return "; ".join(filter(None, [sentence, sure]))


def measure_next(money: Any) -> str:
    """The study worth most above its cost, else the input that moves the answer most, else nothing."""
    worth_doing = [study for study in money.studies if study.worth_doing]
    if worth_doing:
        return study_name(worth_doing[0])
    if money.evpi < WORTH_A_WORD * money.first_cost:
        return say("brief.study.nothing")
    told = [known for known in money.knowing if known.above_noise]
    return input_name(told[0].name) if told else say("brief.study.nothing")


def figures(assessment: Any) -> tuple[FigureBlock, ...]:
    """The four figures of page one: first cost, yearly saving, payback, net present value."""
    money, currency = assessment.money, assessment.case.currency
    if money is None:
        return ()
    saving, worth = money.yearly_saving, money.npv_spread
    ends = {
        "first_cost": say("brief.figure.masks", count=len(money.nearest)),
        "saving": say("brief.figure.likely", ends=between(saving.low, saving.high)),
        "payback": say("brief.figure.likely", ends=payback_interval(money.payback_spread)),
        "npv": say(
            "brief.figure.npv_ends",
            ends=between(worth.low, worth.high),
            years=money.years,
            rate=percent(money.discount_rate),
        ),
    }
    values = {
        "first_cost": _amount(money.first_cost, currency),
        "saving": f"{borne(saving.mean, saving.low, saving.high)} {currency}",
        "payback": _years(money),
        "npv": f"{borne(money.npv, worth.low, worth.high)} {currency}",
    }
    case = assessment.case
    key = "brief.figure.if_allowed" if money.needs else "brief.figure.plain"
    return tuple(
        FigureBlock(
            what=say(key, what=say(f"brief.figure.{name}")),
            value=styled(value, case),
            interval=styled(ends[name], case),
        )
        for name, value in values.items()
    )


def _amount(value: float, currency: str) -> str:
    digits = 2 - max(0, math.floor(math.log10(max(abs(value), 1.0))))
    return f"{number(value, min(0, digits))} {currency}"


def _years(money: Any) -> str:
    if not math.isfinite(money.payback_years):
        return say("front.number.never")
    return say("brief.figure.years", value=payback_value(money))
