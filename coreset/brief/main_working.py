"""The main figures of the purchase in their numbers, as page two has them. In: an assessment. Out: rows."""

from __future__ import annotations

import re
from typing import Any

from coreset.money.report.base_figures import main_lines
from coreset.report.numbers import number


def main_working(assessment: Any) -> list[list[str]]:
    """The main figures of the purchase in their numbers; items that are 0 are left out of the sums."""
    lines = [] if assessment.money is None else main_lines(assessment.money)
    return [[line.what, _without_zeros(line.numbers), f"{number(line.value)} {line.unit}"] for line in lines]


def _without_zeros(numbers: str) -> str:
    """Numbers put in, without terms that are 0 and with 1 + rate as one number.

    Examples
    --------
    >>> _without_zeros("65.5 + 0 + (−2.2) + (−0 + (−0) + (−227))"), _without_zeros("63 / (1 + 0.09)^2")
    ('65.5 + (−2.2) + (−227)', '63/1.09^2')
    """
    for zero, left in (
        (r" / \(1 \+ 0\.(\d+)\)", r"/1.\1"),
        (r"\(−0\)|(?<![\d,.])−0(?![\d,.])", "0"),
        (r" \+ 0(?![\d,.])", ""),
        (r"(?<![\d,.])0 \+ ", ""),
        (r"\((\([^()]*\))\)", r"\1"),
    ):
        numbers = re.sub(zero, left, numbers)
    return numbers
