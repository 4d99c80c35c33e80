"""Numbers as a reader should see them: half up, as many digits as their interval bears, units and currency beside."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from typing import Any

from coreset.rounding import fixed, half_up
from coreset.text import say

SPACE = "\N{NO-BREAK SPACE}"
MINUS = "\N{MINUS SIGN}"
NONE = "–"
"""Stands in a cell where there is no figure."""
KEPT_DIGITS = 2
"""Digits of the half-width of an interval that are kept in the figure: common practice, no source."""
MOST_DECIMALS = 3
MOST_NAMED = 12
"""Names in a sentence."""
PLACE_OF_A_TEXT = re.compile(r"(?:section|clause|Table|table|equation|Annex)\s+[\w.]+")
POINT_IN_A_NUMBER = re.compile(r"(?<![\w.])(?!10\.\d{4,9}/)(\d+)\.(?=\d+(?:e[+-]?\d+)?(?!\w|\.\d))")
"""The point of a number that stands by itself, not within a code, a version or an address."""
UNITS = "%|s|min|h|cmin|kg|g|lb|cm|mm|m|in|ft|l|kPa|W|°C|°F|kcal|molds|cycles|lifts|years|year|hours|minutes|USD|EUR"
BEFORE_A_UNIT = re.compile(rf"(?<=\d) (?=(?:{UNITS}|[A-Z]{{3}}|\d{{3}})(?![\w-]))")
"""The space between a number and its unit, or within a number, where a line must not break."""
US_THOUSANDS = re.compile(rf"(?<=\d){SPACE}(?=\d{{3}}(?!\d))")
US_MONEY = re.compile(rf"(?:({MINUS}?)(\d[\d,.]*)( to | and ))?({MINUS}?)(\d[\d,.]*)[ {SPACE}]USD\b")
US_PERCENT = re.compile(rf"(?<=\d)[ {SPACE}]%")
DAY = re.compile(r"(?<![\w-])(\d{4}-\d{2}-\d{2})(?=[T\s.,;:)]|$)(?:T(?=\d))?")
"""A day as the case writes it, with the letter that ties a time to it."""


def digits_borne(low: float, high: float, *, most: int = MOST_DECIMALS) -> int:
    """Decimals that a figure with this interval bears; negative where even whole units are too fine.

    Parameters
    ----------
    low, high : float
        Ends of the interval.
    most : int
        Most decimals.

    Examples
    --------
    >>> digits_borne(1.9, 4.1), digits_borne(44.1, 46.5), digits_borne(200_000, 900_000), digits_borne(3, 3)
    (1, 1, -4, 3)
    """
    half = abs(high - low) / 2
    if not math.isfinite(half) or half == 0:
        return most
    return min(most, KEPT_DIGITS - 1 - math.floor(math.log10(half)))


def number(value: float, digits: int = 0) -> str:
    """A number with thousands set apart by a space that does not break.

    Examples
    --------
    >>> number(1234567.8, -3).replace(SPACE, "_"), number(0.625, 2), number(-1500).replace(SPACE, "_")
    ('1_235_000', '0.63', '−1_500')
    """
    if not math.isfinite(value):
        return say("front.number.never") if value == math.inf else say("front.number.none")
    text = fixed(half_up(value, digits), max(digits, 0))
    whole, point, rest = text.lstrip("-").partition(".")
    grouped = f"{int(whole):,}".replace(",", SPACE)
    return f"{MINUS if text.startswith('-') else ''}{grouped}{point}{rest}"


def borne(value: float, low: float, high: float, *, most: int = MOST_DECIMALS) -> str:
    """A figure rounded to what its interval bears.

    Parameters
    ----------
    value, low, high : float
        The figure and the ends of its interval.
    most : int
        Most decimals.

    Examples
    --------
    >>> borne(2.634, 1.91, 4.12), borne(45.317, 44.1, 46.5)
    ('2.6', '45.3')
    """
    return number(value, digits_borne(low, high, most=most))


def rough(value: float, digits: int = 2) -> str:
    """A figure in so many digits that count, without decimals.

    Examples
    --------
    >>> rough(18_643).replace(SPACE, "_"), rough(0.3), rough(0)
    ('19_000', '0', '0')
    """
    if not math.isfinite(value) or abs(value) < 1:
        return number(value)
    return number(value, min(0, digits - 1 - math.floor(math.log10(abs(value)))))


def worked(value: float) -> str:
    """A result of a working: five digits that count, at most four decimals, so that it can be redone and compared.

    Examples
    --------
    >>> worked(253652.647).replace(SPACE, "_"), worked(1.91624), worked(-67.8), worked(0.43103)
    ('253_653', '1.9162', '−67.800', '0.4310')
    """
    if not math.isfinite(value):
        return number(value)
    whole = math.floor(math.log10(abs(value))) if abs(value) >= 1 else 0
    return number(value, min(4, max(0, 4 - whole)))


def between(low: float, high: float, *, most: int = MOST_DECIMALS) -> str:
    """The ends of an interval in the digits that it bears.

    Parameters
    ----------
    low, high : float
        Ends of the interval.
    most : int
        Most decimals.

    Examples
    --------
    >>> between(1.91, 4.12)
    '1.9 to 4.1'
    """
    digits = digits_borne(low, high, most=most)
    return say("front.number.between", low=number(low, digits), high=number(high, digits))


def ends(low: float, high: float, *, digits: int | None = None, most: int = 1) -> str:
    """An interval as a cell of a table shows it; a dash where an end is not finite.

    Parameters
    ----------
    low, high : float
        Ends of the interval. [one unit]
    digits : int, optional
        Decimals of both ends; as many as the interval bears, and at most `most`, if left out.
    most : int
        Most decimals.

    Examples
    --------
    >>> ends(1.91, 4.12), ends(-1.91, 4.12, digits=2), ends(1.0, math.inf)
    ('1.9–4.1', '−1.91 to 4.12', '–')
    """
    if not (math.isfinite(low) and math.isfinite(high)):
        return NONE
    shown = digits_borne(low, high, most=most) if digits is None else digits
    two = {"low": number(low, shown), "high": number(high, shown)}
    return say("brief.ends", **two) if low < 0 else f"{two['low']}–{two['high']}"


def percent(share: float) -> str:
    """A chance in whole percent; never 0 or 100 where it is only near.

    Examples
    --------
    >>> percent(0.914), percent(0.9996), percent(0.0004), percent(1.0)
    ('91 %', 'over 99 %', 'under 1 %', '100 %')
    """
    if 0.995 <= share < 1:
        return say("front.number.over", value="99 %")
    if 0 < share < 0.005:
        return say("front.number.under", value="1 %")
    return f"{number(100 * share)} %"


def of_100(share: float) -> str:
    """A share as a count out of a hundred, short enough for a narrow bar.

    Examples
    --------
    >>> of_100(0.914), of_100(0.9996), of_100(0.0004), of_100(0.0)
    ('91', '>99', '<1', '0')
    """
    if 0.995 <= share < 1:
        return ">99"
    return "<1" if 0 < share < 0.005 else number(100 * share)


def listed(names: Iterable[str]) -> str:
    """Names in a row with the last joined by a word; of many the first ones, and how many others there are.

    Examples
    --------
    >>> listed(["A", "B", "C"]), listed(["A"]), listed([])
    ('A, B and C', 'A', '')
    >>> listed(map(str, range(300)))
    '0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11 and 288 others'
    """
    every = list(names) or [""]
    if len(every) > MOST_NAMED + 1:
        every = [*every[:MOST_NAMED], say("front.number.others", count=len(every) - MOST_NAMED)]
    *most, last = every
    return say("front.number.and", most=", ".join(most), last=last) if most else last


def in_style(text: str, decimal: str) -> str:
    """A text with its decimal points as the case wants them; places of a publication stay as they are.

    Examples
    --------
    >>> in_style("2.6 years, section 1.3", "comma"), in_style("V2.4 at 1.5 (0.25)", "comma")
    ('2,6 years, section 1.3', 'V2.4 at 1,5 (0,25)')
    >>> in_style("254\N{NO-BREAK SPACE}000 USD, 80 % range \N{MINUS SIGN}10 to 21 USD; 23.5 USD/h", "us")
    '$254,000, 80% range −$10 to $21; $23.5/h'
    """
    if decimal == "us":
        return US_PERCENT.sub("%", US_MONEY.sub(_dollars, US_THOUSANDS.sub(",", text)))
    if decimal != "comma":
        return text
    kept, parts, start = PLACE_OF_A_TEXT.finditer(text), [], 0
    for place in kept:
        parts += [POINT_IN_A_NUMBER.sub(r"\1,", text[start : place.start()]), place.group()]
        start = place.end()
    return "".join([*parts, POINT_IN_A_NUMBER.sub(r"\1,", text[start:])])


def _dollars(found: re.Match[str]) -> str:
    sign, first, word, minus, last = (part or "" for part in found.groups())
    return f"{f'{sign}${first}{word}' if first else ''}{minus}${last}"


def bound(text: str) -> str:
    """A text in which no line breaks within a number, or between it and its unit.

    Examples
    --------
    >>> bound("4.5 years, 12 s per mold, 3 of 4, 110 000 USD").replace(SPACE, "_")
    '4.5_years, 12_s per mold, 3 of 4, 110_000_USD'
    """
    return BEFORE_A_UNIT.sub(SPACE, text)


def day(date: str, style: str) -> str:
    """A day written 2026-11-25 in the style of the case; anything else as it was typed.

    Examples
    --------
    >>> day("2026-11-25", "day"), day("2026-11-25", "month"), day("spring", "day")
    ('25.11.2026', '11/25/2026', 'spring')
    """
    found = re.fullmatch(r"(\d{4})-(\d{2})-(\d{2})", date)
    if not found or style == "iso":
        return date
    year, month, number_of_day = found.groups()
    return f"{number_of_day}.{month}.{year}" if style == "day" else f"{month}/{number_of_day}/{year}"


def in_manner(text: str, *, decimal: str, date_style: str) -> str:
    """A text with its decimal points and its days as the case wants them.

    Parameters
    ----------
    text : str
        With decimal points and days as the product writes them.
    decimal : {"point", "comma"}
        Decimal sign of the case.
    date_style : {"iso", "day", "month"}
        How the case writes days.

    Examples
    --------
    >>> in_manner("4.5 years, kept 2026-11-25T16:04:11", decimal="comma", date_style="day")
    '4,5 years, kept 25.11.2026 16:04:11'
    >>> in_manner("4.5 years, kept 2026-11-25", decimal="point", date_style="iso")
    '4.5 years, kept 2026-11-25'
    """
    styled = in_style(text, decimal)
    if date_style == "iso":
        return styled
    return DAY.sub(lambda found: day(found[1], date_style) + (" " if found[0].endswith("T") else ""), styled)


def styled(text: str, case: Any) -> str:
    """Text in the decimal style of the case."""
    return in_style(text, case.decimal)
