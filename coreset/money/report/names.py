"""What inputs, items, studies and paybacks are called, and their units."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from coreset.case import Money, meaning, yearly_costs
from coreset.report.numbers import between, borne, listed, number
from coreset.text import catalogue, message, say

YEAR_DIGITS = 1
ROUND_OFF = 1e-6


UNITS = {
    "wage_per_h": "hour",
    "employer_factor": "times",
    "mask_repair_per_year": "year",
    **dict.fromkeys(yearly_costs(Money), "year"),
    "injury_cost_per_year": "year",
    "air_per_m3": "cubic_metre",
    "electricity_per_kwh": "kwh",
    "rate": "rate",
    "molds_per_year": "molds",
    "extra_molds_per_year": "molds",
    "scrap": "share",
    "line_crew": "people",
    "installation_lost_hours": "line_hours",
    "lost_margin_per_h": "hour",
    "hours_saved_paid": "share",
    "held": "share",
}
"""Units of the inputs, by name; every other one is an amount of money."""


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


def payback_value(years: float, spread: Any) -> str:
    """Simple payback in years, in the digits that its interval bears."""
    if math.isfinite(spread.high):
        return borne(years, spread.low, spread.high, most=YEAR_DIGITS)
    return number(years, YEAR_DIGITS)


def payback_interval(spread: Any) -> str:
    """The 80 % interval of the payback; open to the right where some draws never pay back."""
    if math.isfinite(spread.high):
        return between(spread.low, spread.high, most=YEAR_DIGITS)
    if math.isfinite(spread.low):
        return say("brief.decision.no_end", low=number(spread.low, YEAR_DIGITS))
    return say("front.number.never")


def payback_range(spread: Any) -> str:
    """The same as it stands below a figure; where the low end is never, that nine runs of ten do not pay back."""
    if not math.isfinite(spread.low):
        return say("brief.figure.never_paid")
    return say("brief.figure.likely", ends=payback_interval(spread))


def plain_years(years: float) -> str:
    """Years without a decimal where there is none."""
    return number(years, 0 if float(years).is_integer() else 1)


def study_name(study: Any) -> str:
    """What could be studied first, in words."""
    return say(f"brief.study.{study.kind}", pattern=study.pattern, method=study.method, more=study.more)


def input_name(name: str) -> str:
    """What an uncertain input of the money is called.

    Examples
    --------
    >>> input_name("wage_per_h"), input_name("rate.HUB.manual")
    ('wage of one operator', 'molds per hour of HUB under manual')
    """
    kind, _, rest = name.partition(".")
    pattern, _, method = rest.rpartition(".") if kind == "rate" else (rest, "", "")
    known = catalogue().get(f"brief.input.{kind}", "")
    words = known.format(pattern=pattern, method=method) if known else message(meaning(Money, kind))
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


def item_name(name: str) -> str:
    """An item of the cash flow in words."""
    key = f"money.item.{name}"
    return say(key) if key in catalogue() else name
