"""Screened tasks as rows of a table and of a chart, worst first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from coreset.case import UNIT_SETS
from coreset.lifting.report.sentences import binding, label_of, worst_first
from coreset.lifting.report.status import (
    MASS_DIGITS,
    index_text,
    job_text,
    load_text,
    row_index_text,
    status_text,
)
from coreset.rounding import fixed
from coreset.text import say

SELDOM = 0.1
"""Lifts a minute below which a third decimal is shown."""


CHART_ONLY = {"label", "method", "li", "zero", "low", "high", "text"}


def task_rows(
    screened: Sequence[Any], units: str, *, scheme: str = "1994", spreads: Sequence[Any] | None = None
) -> list[dict[str, Any]]:
    """Tasks as rows for a chart and a table, worst first, the number always before the band.

    `spreads`, one a task or None, gives the ends of the interval. In a row `low` and `high` are these ends, `high` None
    where there is no upper end: beyond the method, or an index that is a lower limit; `li` is None without an index,
    and `zero` says that RWL is 0 then.

    Parameters
    ----------
    screened : sequence of Screened
        Tasks with their indices.
    units : {"metric", "us"}
        Unit set.
    scheme : str
        Scheme of bands.
    spreads : sequence, optional
        One a task or None, gives the ends of the interval.
    """
    found = spreads if spreads is not None else [None] * len(screened)
    ends = {id(row): one for row, one in zip(screened, found, strict=True)}
    return [_task_row(row, ends[id(row)]) | table_row(row, units, scheme) for row in worst_first(screened)]


def _task_row(row: Any, spread: Any) -> dict[str, Any]:
    low, high = (spread.low, spread.high) if spread and spread.entered else (row.li, row.li)
    high = None if row.at_least or high == float("inf") else high
    return {
        "label": label_of(row),
        "method": row.method,
        "li": row.li,
        "zero": row.applies and row.li is None,
        "low": low,
        "high": high,
        "text": _mark_text(row, beyond=bool(spread) and spread.high == float("inf")),
    }


def _mark_text(row: Any, *, beyond: bool) -> str:
    """Words next to a task's mark: index and what binds it, or RWL 0 and why; then the job's index."""
    if row.li is None:
        return say("handling.row.zero_mark", binding=say(f"handling.multiplier.{row.binding}")) if row.applies else ""
    text = index_text(row.li, row.at_least)
    if row.binding:
        text = say("handling.row.text", li=text, binding=say(f"handling.multiplier.{row.binding}"))
    text = say("handling.row.beyond", text=text) if beyond else text
    return say("handling.row.part", text=text, job=job_text(row.job)) if row.job is not None else text


def table_row(row: Any, units: str, scheme: str = "1994") -> dict[str, str]:
    """One task as a row of the table.

    Parameters
    ----------
    row : Screened
        A task.
    units : {"metric", "us"}
        Unit set.
    scheme : str
        Scheme of bands.
    """
    unit = UNIT_SETS[units]["mass"]
    return {
        say("handling.column.task"): label_of(row),
        say("handling.column.method"): row.method,
        say("handling.column.load", unit=unit): load_text(row),
        say("handling.column.pace"): fixed(row.frequency_per_min, 2 if row.frequency_per_min >= SELDOM else 3),
        say("handling.column.rwl", unit=unit): _rwl_text(row),
        say("handling.column.li"): row_index_text(row),
        say("handling.column.job"): job_text(row.job),
        say("handling.column.band"): status_text(row, scheme),
        say("handling.column.binding"): say(
            "handling.row.binding", binding=binding(row.binding), end=say(f"handling.end.{row.end}")
        )
        if row.applies
        else "",
    }


def _rwl_text(row: Any) -> str:
    """RWL as text, marked where it is an upper limit; a dash where there is none."""
    if row.rwl is None:
        return "–"
    text = fixed(row.rwl, MASS_DIGITS)
    return say("handling.row.at_most", text=text) if row.at_least and row.rwl else text


def plain_rows(rows: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """Rows without what only the chart needs."""
    return [{k: v for k, v in row.items() if k not in CHART_ONLY} for row in rows]
