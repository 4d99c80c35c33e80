"""A number that somebody wrote: digits, one point, an exponent; not what a programming language takes besides."""

from __future__ import annotations

import re

NUMBER = re.compile(r"\s*[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?\s*", re.ASCII | re.IGNORECASE)


def number(text: str) -> float:
    """The number that a text is.

    Raises
    ------
    ValueError
        If it is none: also `1_000`, which may be a slip for 1.000, digits of another script, infinity, not-a-number.

    Examples
    --------
    >>> number("12.5"), number(" -1e3 ")
    (12.5, -1000.0)
    >>> number("1_000")
    Traceback (most recent call last):
    ...
    ValueError: no number: '1_000'
    """
    if not NUMBER.fullmatch(text):
        raise ValueError(f"no number: {text[:40]!r}")
    return float(text)


def whole(text: str) -> int:
    """The whole number that a text is.

    Raises
    ------
    ValueError
        If it is none.

    Examples
    --------
    >>> whole("12")
    12
    """
    number(text)
    return int(text)
