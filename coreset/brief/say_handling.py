"""Sentences on handling: what may be lifted, the index, why there is none, and what the screen is not."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from coreset.brief.text import say
from coreset.case import UNIT_SETS
from coreset.handling.bands import band_of, bands
from coreset.rounding import fixed

INDEX_DIGITS = 2
MASS_DIGITS = 1
SELDOM = 0.1
"""Lifts a minute below which a third decimal is shown."""


def why_not(codes: Iterable[str]) -> str:
    """Reasons in words, joined; empty where there is none.

    Examples
    --------
    >>> why_not(["one_handed", "seated"])
    'it is lifted with one hand; it is done seated or kneeling'
    """
    return "; ".join(say(f"handling.why_not.{code}") for code in codes)


def binding(name: str | None) -> str:
    """What binds, in words with its symbol.

    Examples
    --------
    >>> binding("hm"), binding(None)
    ('horizontal reach (HM)', 'nothing: every multiplier is 1')
    """
    return f"{say(f'handling.multiplier.{name}')} ({name.upper()})" if name else say("handling.multiplier.none")


def index_text(index: float | None) -> str:
    """An index as text; a dash where there is none.

    Examples
    --------
    >>> index_text(1.005), index_text(None)
    ('1.01', '–')
    """
    return "–" if index is None or index == float("inf") else fixed(index, INDEX_DIGITS)


def index_sentence(
    *, mass: float, units: str, rwl: float | None, li: float | None, bound: str, codes: tuple, digits: int = 2
) -> str:
    """The answer on one lift in a sentence: the index, or why there is none."""
    unit = UNIT_SETS[units]["mass"]
    if rwl is None:
        return say("handling.lift.not_covered", why=why_not(codes))
    if li is None:
        return say("handling.lift.nothing", why=why_not(codes))
    numbers = {"li": fixed(li, digits), "mass": fixed(mass, MASS_DIGITS), "rwl": fixed(rwl, MASS_DIGITS)}
    return say("handling.lift.answer", unit=unit, binding=binding(bound), **numbers)


def task_sentence(row: Any, units: str) -> str:
    """The answer on one screened task."""
    return index_sentence(mass=row.mass, units=units, rwl=row.rwl, li=row.li, bound=row.binding, codes=row.why_not)


def label_of(row: Any) -> str:
    """Pattern and task of a screened lift."""
    return f"{row.pattern} · {row.task}"


def worst_first(screened: Iterable[Any]) -> list[Any]:
    """Tasks where nothing may be lifted, then by falling index, then those that are not covered."""
    return sorted(screened, key=lambda row: (not row.applies, row.li is not None, -(row.li or 0.0)))


def weighed(screened: Sequence[Any]) -> dict[str, int]:
    """Tasks whose load is known, worst first, each by what it is called in a list, with its place."""
    places = {id(row): place for place, row in enumerate(screened)}
    known = [row for row in worst_first(screened) if row.mass == row.mass]
    return {f"{label_of(row)} ({row.method})": places[id(row)] for row in known}


def answer(screened: Sequence[Any], *, limit: float = 1.0) -> str:
    """The page's answer: how many tasks are above the plant's limit, and the worst with what binds it."""
    if not screened:
        return say("handling.answer.none")
    known = [row for row in screened if row.li is not None]
    zero = [row for row in screened if row.applies and row.li is None]
    silent = [row for row in screened if not row.applies]
    parts = []
    if zero:
        worst = zero[0]
        parts.append(
            say(
                "handling.answer.zero",
                count=len(zero),
                all=len(screened),
                task=label_of(worst),
                why=why_not(worst.why_not),
            )
        )
    if known:
        worst = max(known, key=lambda row: row.li)
        key = "above" if worst.li > limit else "within"
        parts.append(
            say(
                f"handling.answer.{key}",
                count=sum(row.li > limit for row in known),
                all=len(known),
                limit=fixed(limit, 1),
                task=label_of(worst),
                method=worst.method,
                li=index_text(worst.li),
                binding=binding(worst.binding),
            )
        )
    if silent:
        parts.append(say("handling.answer.silent", count=len(silent)))
    return " ".join(parts)


def band_text(index: float | None, scheme: str = "1994") -> str:
    """The band of an index: its place from the best, the words, the scheme; empty where there is no index."""
    if index is None or index != index:
        return ""
    band = band_of(index, scheme)
    status = say(f"handling.band.{band.status}") if band.status == "memory" else ""
    return say("handling.band.row", place=band.place + 1, of=band.of, words=band.words, status=status).strip()


def scheme_text(scheme: str) -> str:
    """What a scheme of bands is called, and its status."""
    return say(f"handling.band.scheme_{scheme}")


def schemes() -> tuple[str, ...]:
    """Schemes of bands, the published default first."""
    return tuple(dict.fromkeys(band.scheme for name in ("1994", "2021") for band in bands(name)))


def task_rows(
    screened: Sequence[Any], units: str, *, scheme: str = "1994", spreads: Sequence[Any] | None = None
) -> list[dict[str, Any]]:
    """Tasks as rows for a chart and a table, worst first, the number always before the band.

    `spreads`, one a task or None, gives the ends of the interval; an end beyond the method is drawn as far as the
    highest index there is.
    """
    found = spreads if spreads is not None else [None] * len(screened)
    highest = max((row.li for row in screened if row.li is not None), default=1.0)
    ends = {id(row): one for row, one in zip(screened, found, strict=True)}
    return [_task_row(row, ends[id(row)], highest) | table_row(row, units, scheme) for row in worst_first(screened)]


def _task_row(row: Any, spread: Any, highest: float) -> dict[str, Any]:
    text = index_text(row.li)
    if row.li is not None and row.binding:
        text = say("handling.row.text", li=text, binding=say(f"handling.multiplier.{row.binding}"))
    low, high = (spread.low, spread.high) if spread else (row.li, row.li)
    if row.li is not None and high == float("inf"):
        high, text = max(highest, row.li), say("handling.row.beyond", text=text)
    return {"label": label_of(row), "method": row.method, "li": row.li, "low": low, "high": high, "text": text}


def table_row(row: Any, units: str, scheme: str = "1994") -> dict[str, str]:
    """One task as a row of the table."""
    unit = UNIT_SETS[units]["mass"]
    key = "zero" if row.applies else "silent"
    nothing = say(f"handling.row.{key}", why=why_not(row.why_not)) if row.li is None else ""
    return {
        say("handling.column.task"): label_of(row),
        say("handling.column.method"): row.method,
        say("handling.column.load", unit=unit): fixed(row.mass, MASS_DIGITS),
        say("handling.column.pace"): fixed(row.frequency_per_min, 2 if row.frequency_per_min >= SELDOM else 3),
        say("handling.column.rwl", unit=unit): fixed(row.rwl, MASS_DIGITS) if row.rwl is not None else "–",
        say("handling.column.li"): index_text(row.li),
        say("handling.column.band"): band_text(row.li, scheme) or nothing,
        say("handling.column.binding"): say(
            "handling.row.binding", binding=binding(row.binding), end=say(f"handling.end.{row.end}")
        )
        if row.applies
        else "",
    }


def plain_rows(rows: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """Rows without what only the chart needs."""
    return [{k: v for k, v in row.items() if k not in {"label", "method", "li", "low", "high", "text"}} for row in rows]


def methods_text(curves: Iterable[Any]) -> str:
    """Methods with their index at standard pace, joined.

    Examples
    --------
    >>> methods_text([])
    ''
    """
    return ", ".join(
        say("handling.pace.at", method=c.method, kind=c.kind, index=index_text(c.standard_index)) for c in curves
    )


def limits_of(screened: Iterable[Any]) -> list[str]:
    """What narrows the results: climate, rows of the table from memory."""
    rows = list(screened)
    found = [say(f"handling.limit.{code}") for code in dict.fromkeys(code for row in rows for code in row.limits)]
    if any(row.status == "memory" and row.li is not None for row in rows):
        found.append(say("handling.lift.memory"))
    return found


def methods_of(screened: Iterable[Any], *first: str) -> list[str]:
    """Methods of the tasks, those named first in their order, then the others as they come.

    Examples
    --------
    >>> methods_of([], "manual", "assisted")
    ['manual', 'assisted']
    """
    return list(dict.fromkeys([*first, *(row.method for row in screened)]))
