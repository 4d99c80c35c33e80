"""The answer in one sentence, and the four figures that carry it. In: an assessment. Out: words."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from coreset.brief.numbers import SPACE, between, borne, in_style, listed, number, percent
from coreset.brief.text import catalogue, say
from coreset.case import Money, meaning

LIKELY = 0.80
"""Share of the draws that the intervals of the money hold."""
YEAR_DIGITS = 1
ROUND_OFF = 1e-6
UNITS = {
    "wage_per_h": "hour",
    "employer_factor": "times",
    "mask_repair_per_year": "year",
    "maintenance_per_year": "year",
    "floor_space_per_year": "year",
    "injury_cost_per_year": "year",
    "air_per_m3": "cubic_metre",
    "electricity_per_kwh": "kwh",
    "rate": "rate",
    "molds_per_year": "molds",
    "extra_molds_per_year": "molds",
    "scrap": "share",
    "held": "share",
}
"""Units of the inputs, by name; every other one is an amount of money."""
WORTH_A_WORD = 0.005
"""Share of the first cost below which knowing everything is not worth a word: our own rule, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure of page one: what it is, its value with unit, what it lies between."""

    what: str
    value: str
    interval: str


def styled(text: str, case: Any) -> str:
    """Text in the decimal style of the case."""
    return in_style(text, case.decimal)


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
    return say(f"brief.verdict.{money.verdict}", patterns=listed(money.chosen) or say("brief.no_pattern"), **blanks)


def needs(broken: Iterable[Any], currency: str) -> str:
    """What each broken limit of the plant would have to be, in words."""
    return listed(
        say(
            f"brief.need.{need.limit}",
            least=number(math.ceil(need.least - ROUND_OFF)),
            has=number(need.has),
            currency=currency,
        )
        for need in broken
    )


def _payback(money: Any) -> str:
    spread, limit = money.payback_spread, money.payback_limit_years
    sure = say("brief.decision.sure", chance=percent(money.chance_payback), limit=plain_years(limit)) if limit else ""
    if not math.isfinite(money.payback_years):
        return "; ".join(filter(None, [say("brief.decision.never"), sure]))
    sentence = say("brief.decision.payback", value=payback_value(money), interval=payback_interval(spread))
    return "; ".join(filter(None, [sentence, sure]))


def payback_value(money: Any) -> str:
    """Simple payback in years, in the digits that its interval bears."""
    spread = money.payback_spread
    if math.isfinite(spread.high):
        return borne(money.payback_years, spread.low, spread.high, most=YEAR_DIGITS)
    return number(money.payback_years, YEAR_DIGITS)


def payback_interval(spread: Any) -> str:
    """The 80 % interval of the payback; open to the right where some draws never pay back."""
    if math.isfinite(spread.high):
        return between(spread.low, spread.high, most=YEAR_DIGITS)
    if math.isfinite(spread.low):
        return say("brief.decision.no_end", low=number(spread.low, YEAR_DIGITS))
    return say("front.number.never")


def plain_years(years: float) -> str:
    """Years without a decimal where there is none."""
    return number(years, 0 if float(years).is_integer() else 1)


def measure_next(money: Any) -> str:
    """The study worth most above its cost, else the input that moves the answer most, else nothing."""
    worth_doing = [study for study in money.studies if study.worth_doing]
    if worth_doing:
        return study_name(worth_doing[0])
    if money.evpi < WORTH_A_WORD * money.first_cost:
        return say("brief.study.nothing")
    told = [known for known in money.knowing if known.above_noise]
    return input_name(told[0].name) if told else say("brief.study.nothing")


def study_name(study: Any) -> str:
    """What could be studied first, in words."""
    return say(f"brief.study.{study.kind}", pattern=study.pattern, method=study.method, more=study.more)


def input_name(name: str) -> str:
    """What an uncertain input of the money is called.

    Examples
    --------
    >>> input_name("wage_per_h"), input_name("rate.HUB.manual")
    ('wage of one operator', 'molds an hour of HUB under manual')
    """
    kind, _, rest = name.partition(".")
    pattern, _, method = rest.rpartition(".") if kind == "rate" else (rest, "", "")
    known = catalogue().get(f"brief.input.{kind}", "")
    words = known.format(pattern=pattern, method=method) if known else meaning(Money, kind)
    named = not pattern or "{pattern}" in known
    return words if named else say("brief.input.of", what=words, pattern=pattern)


def input_unit(name: str, currency: str) -> str:
    """What an uncertain input of the money is counted in.

    Examples
    --------
    >>> input_unit("wage_per_h", "EUR"), input_unit("setter_price", "EUR"), input_unit("rate.HUB.manual", "EUR")
    ('EUR/h', 'EUR', 'molds/h')
    """
    return say(f"brief.unit.{UNITS.get(name.partition('.')[0], 'money')}", currency=currency)


def figures(assessment: Any) -> tuple[Figure, ...]:
    """The four figures of page one: first cost, yearly saving, payback, net present value."""
    money, currency = assessment.money, assessment.case.currency
    if money is None:
        return ()
    saving, worth = money.yearly_saving, money.npv_spread
    ends = {
        "first_cost": say("brief.figure.masks", count=len(money.chosen)),
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
    return tuple(
        Figure(what=say(f"brief.figure.{name}"), value=styled(value, case), interval=styled(ends[name], case))
        for name, value in values.items()
    )


def _amount(value: float, currency: str) -> str:
    digits = 2 - max(0, math.floor(math.log10(max(abs(value), 1.0))))
    return f"{number(value, min(0, digits))} {currency}"


def _years(money: Any) -> str:
    if not math.isfinite(money.payback_years):
        return say("front.number.never")
    return say("brief.figure.years", value=payback_value(money))
