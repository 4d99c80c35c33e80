"""The figures behind the charts on money, as rows of text."""

from __future__ import annotations

from itertools import accumulate
from typing import Any

from coreset.money.chances import payback_shares
from coreset.money.decision import Decision
from coreset.money.report.sentences import amount
from coreset.report.columns import column_name
from coreset.report.numbers import number, percent
from coreset.text import say


def payback_chance(d: Any) -> list[dict[str, str]]:
    """Chance that the money is back in each year and by its end; last, that it is not back within the years.

    Parameters
    ----------
    d : Decision
    """
    shares = payback_shares(d)
    sums = (*accumulate(shares[:-1]), None)
    years = (*map(str, range(1, d.years + 1)), say("money.chart.back_late", years=d.years))
    return [
        {
            column_name("year"): year,
            column_name("chance"): percent(share),
            column_name("chance_by_then"): "" if by_then is None else percent(by_then),
        }
        for year, share, by_then in zip(years, shares, sums, strict=True)
    ]


def run_length(d: Decision) -> list[dict[str, str]]:
    """Saving of a mold, a row a number of cores, a column a run."""
    cells = d.grid.cells if d.grid else ()
    rows: dict[int, dict[str, str]] = {}
    for cell in cells:
        row = rows.setdefault(cell.cores_per_mold, {column_name("cores"): str(cell.cores_per_mold)})
        row[column_name("run", run=number(cell.run_molds), currency=d.currency)] = number(cell.saving_per_mold, 2)
    return list(rows.values())


def waterfall(d: Decision) -> list[dict[str, str]]:
    """Items of the first running year, largest gain first, and their sum."""
    parts = sorted(d.cash_flow[1].parts.items(), key=lambda part: -part[1])
    named = [
        *((say(f"money.item.{name}"), value) for name, value in parts),
        (say("money.item.total"), d.cash_flow[1].total),
    ]
    return [
        {column_name("item"): name, column_name("amount", currency=d.currency): amount(value)} for name, value in named
    ]
