"""Rounding as printed tables do it: halves away from zero, on the decimal digits that are seen."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal


def half_up(value: float, digits: int) -> float:
    """A number rounded half up to so many decimals; NaN and infinity stay themselves.

    Examples
    --------
    >>> half_up(0.625, 2), round(0.625, 2)
    (0.63, 0.62)
    >>> half_up(0.745, 2)
    0.75
    """
    if not math.isfinite(value):
        return value
    return float(Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-digits), rounding=ROUND_HALF_UP))


def fixed(value: float, digits: int = 0) -> str:
    """The same as text with exactly so many decimals; a dash for what is not a number.

    Examples
    --------
    >>> fixed(0.625, 2), fixed(12.5), fixed(float("nan"))
    ('0.63', '13', '–')
    """
    if not math.isfinite(value):
        return "–"
    rounded = Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-digits), rounding=ROUND_HALF_UP)
    return f"{rounded + 0:f}" if rounded else f"{abs(rounded):f}"
