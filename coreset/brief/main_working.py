"""The main figures of the purchase in their numbers, as page two has them. In: an assessment. Out: rows."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from coreset.money.base_case import BaseCase
from coreset.money.figures import MODEL
from coreset.money.report.base_figures import MAIN, shown_unit
from coreset.report.numbers import number
from coreset.text import message

DIGITS = 6
"""Digits of a factor, so that a product can be redone to the unit."""


def main_working(assessment: Any) -> list[list[str]]:
    """The main figures of the base case in their numbers, those of year 1 where they are by year.

    Each term has its name or its year; what is 0 is left out. Amounts are whole, so a sum may be one off a term.
    """
    if assessment.money is None:
        return []
    base, currency, found = assessment.money.base, assessment.case.currency, []
    for key in MAIN:
        figure = MODEL.figures[key]
        value = f"{number(base.number(key))} {shown_unit(figure.unit, currency)}"
        found.append([message(figure.label), _numbers(key, base), value])
    return found


def _numbers(key: str, base: BaseCase) -> str:
    needs = MODEL.needs(key)
    if "discount_rate" in needs:
        return _signed((value, "", _discounted(base, year)) for year, value in enumerate(base.flow()))
    terms = [(base.number(name), message(MODEL.label(name))) for name in needs]
    if "*" in MODEL.figures[key].formula:
        return " · ".join(f"{what} {_factor(value)}" for value, what in terms)
    return _signed((value, f"{what} ", "") for value, what in terms)


def _signed(terms: Iterable[tuple[float, str, str]]) -> str:
    """Amounts with what stands before and behind each, joined by their signs."""
    said = [(value < 0, f"{before}{number(abs(value))}{behind}") for value, before, behind in terms if value]
    text = " ".join(f"{'−' if negative else '+'} {words}" for negative, words in said).removeprefix("+ ")
    return f"−{text[2:]}" if text.startswith("− ") else text


def _discounted(base: BaseCase, year: int) -> str:
    rate = _plain(1 + base.number("discount_rate"))
    return f"/{rate}^{year}" if year else ""


def _factor(value: float) -> str:
    """A factor in so many digits.

    Examples
    --------
    >>> _factor(33.69178), _factor(0.5)
    ('33.6918', '0.500000')
    """
    return number(value, max(0, DIGITS - 1 - math.floor(math.log10(abs(value))))) if value else number(value)


def _plain(value: float) -> str:
    """A factor without zeros behind.

    Examples
    --------
    >>> _plain(1.09), _plain(1.0875)
    ('1.09', '1.0875')
    """
    return number(value, next(d for d in range(9) if abs(value - round(value, d)) < 1e-8))
