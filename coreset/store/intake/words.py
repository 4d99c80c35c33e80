"""Words of the heads and cells of time-study sheets: what a column holds, which unit, which row is a total."""

from __future__ import annotations

import re

CYCLE = re.compile(
    r"(?:cycles?|cyc|obs(?:ervation)?|readings?|time|molds?|trial|run|no|nr|c|r|t|#)?[ ._#-]*(\d{1,4})\.?"
)
"""The head of one cycle's column: its number, perhaps with a word before it."""
CYCLES = re.compile(r"(cycle|cyc|obs|observation|mold|mould|round|nr|no|#)\b.*")
"""The head of a column that numbers the cycles."""
ELEMENTS = re.compile(r"(elements?|steps?|tasks?|activit(y|ies)|operations?|descriptions?|work elements?)\b.*")
TOTAL = re.compile(
    r"(?:grand |sub-? ?)?(?:totals?|sums?|means?|averages?|avg|median|minimum|maximum|max|std\.?|st\.? ?dev\.?"
    r"|(?:cycle|element|study) (?:total|sum|mean|average)s?"
    r"|standard deviation|range|count|cycle time|total time|sum of .*|total .*|mean .*|average .*|avg\.? .*"
    r"|normal time|standard time|selected time|summe|mittelwert|gesamt|σ|∑|x̄)[.:]?"
)
"""A row or column that follows from others."""
CLOCK, TIME, RATING = "clock", "time", "rating"
PARTS = {
    CLOCK: re.compile(r"(reading|watch|clock|w\.?r\.?|cum\w*|r)\b.*"),
    TIME: re.compile(r"(elapsed|element time|observed|time|o\.?t\.?|e\.?t\.?|t)\b.*"),
    RATING: re.compile(r"(rating|pace|perf\w*|rf|%)(\b.*|)"),
}
"""The second head under a cycle or an element."""
UNITS = (
    (
        "cmin",
        re.compile(r"(?<![a-z])(c\.?min|1/100 ?(?:th)?(?: of a)? ?min\w*|0[.,]01 ?min\w*|hundredths?|dm)(?![a-z])"),
    ),
    ("clock", re.compile(r"(h{1,2}:mm(:ss)?|m{1,2}:ss)")),
    ("min", re.compile(r"(?<![a-z])min(ute)?s?(?![a-z])")),
    ("s", re.compile(r"(?<![a-z])(s|secs?|seconds?)(?![a-z'])|_s$")),
)
LETTERS = {"f": "foreign", "m": "missed"}
"""What a letter in the place of a reading mostly means; asked all the same."""


def plain(cell: str) -> str:
    """A cell in small letters with single blanks."""
    return " ".join(cell.lower().split())


def unit_in(text: str) -> str:
    """The unit that a head states, or an empty text.

    Examples
    --------
    >>> unit_in("Watch [1/100 min]"), unit_in("time, s"), unit_in("Reading (min)"), unit_in("Elements")
    ('cmin', 's', 'min', '')
    """
    return next((unit for unit, sign in UNITS if sign.search(plain(text))), "")


def is_total(cell: str) -> bool:
    """Whether a cell names a row or column that follows from others.

    Examples
    --------
    >>> [is_total(text) for text in ("Total", "Mean of 10", "Totals:", "set mean core", "summing up")]
    [True, True, True, False, False]
    """
    return bool(TOTAL.fullmatch(plain(cell)))


def cycle_number(cell: str) -> int | None:
    """Number of the cycle that a head names, or None.

    Examples
    --------
    >>> [cycle_number(text) for text in ("3", "Cycle 12", "R4", "set core")]
    [3, 12, 4, None]
    """
    found = CYCLE.fullmatch(plain(cell))
    return int(found[1]) if found else None


def part_of(cell: str) -> str:
    """Which of clock, element time and rating a second head names, or an empty text."""
    return next((part for part, sign in PARTS.items() if sign.fullmatch(plain(cell))), "")
