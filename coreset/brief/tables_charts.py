"""The figures behind those charts that no other table goes with, as rows of text."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from coreset.brief import say_line
from coreset.brief.numbers import number, percent
from coreset.brief.say_handling_status import index_text
from coreset.brief.say_money import amount
from coreset.brief.text import say
from coreset.case import UNIT_SETS
from coreset.money import Decision
from coreset.rounding import fixed
from coreset.study.series import Series

Row = dict[str, str]
PACES = 12
"""Paces at which a curve of the index is told."""
MOST_TIMES = 200


def _c(name: str, **blanks: str) -> str:
    return say(f"charts.column.{name}", **blanks)


def payback_chance(d: Decision) -> list[Row]:
    """Chance that the money is back, at the end of each year."""
    whole = {round(year): chance for year, chance in d.payback_curve if year == round(year)}
    return [{_c("year"): str(year), _c("chance"): percent(chance)} for year, chance in whole.items()]


def run_length(d: Decision) -> list[Row]:
    """Saving of a mold, a row a number of cores, a column a run."""
    cells = d.grid.cells if d.grid else ()
    rows: dict[int, Row] = {}
    for cell in cells:
        row = rows.setdefault(cell.cores_per_mold, {_c("cores"): str(cell.cores_per_mold)})
        row[_c("run", run=number(cell.run_molds), currency=d.currency)] = number(cell.saving_per_mold, 2)
    return list(rows.values())


def waterfall(d: Decision) -> list[Row]:
    """Items of the first running year, largest gain first, and their sum."""
    parts = sorted(d.cash_flow[1].parts.items(), key=lambda part: -part[1])
    named = [
        *((say(f"money.item.{name}"), value) for name, value in parts),
        (say("money.item.total"), d.cash_flow[1].total),
    ]
    return [{_c("item"): name, _c("amount", currency=d.currency): amount(value)} for name, value in named]


def steps(cycles: Iterable[tuple[str, Any]]) -> list[Row]:
    """Steps of the first drawn cycle under each name: who, from when to when, what it waited for.

    Parameters
    ----------
    cycles : iterable of (str, MoldCycle)
        Name of the group in the chart, the mold cycle.
    """
    return [
        {
            _c("group"): name,
            _c("who"): say_line.who(bar.by),
            _c("step"): bar.step,
            _c("from"): fixed(bar.start_s, 1),
            _c("to"): fixed(bar.end_s, 1),
            _c("waited"): f"{fixed(bar.waited_s, 1)} {say_line.who(bar.waited_for)}" if bar.waited_s > 0 else "",
        }
        for name, row in cycles
        for bar in row.bars
        if bar.cycle == 0
    ]


def before_after(change: Any) -> list[Row]:
    """Steps as they are and after one change."""
    return steps([(say("line.chart.now"), change.before), (say(f"line.change.{change.code}"), change.after)])


def pace(curves: Sequence[Any]) -> list[Row]:
    """Index at paces along each curve, and at those of the study and of the standard."""
    rows = []
    for curve in curves:
        along = range(0, len(curve.molds_per_h), max(1, len(curve.molds_per_h) // PACES))
        points = [(float(curve.molds_per_h[i]), float(curve.index[i]), "") for i in along]
        points += [
            (curve.standard_per_h, curve.standard_index, say("handling.pace.standard")),
            (curve.observed_per_h, curve.observed_index, say("handling.pace.observed")),
        ]
        rows += [
            {_c("group"): curve.method, _c("pace"): fixed(at, 1), _c("index"): index_text(index), _c("which"): which}
            for at, index, which in sorted(points, key=lambda point: point[0])
            if index is not None and index == index
        ]
    return rows


def mix(found: Any) -> list[Row]:
    """Mean index of each category of the variable index that holds lifts, and its share of them."""
    if not found.variable:
        return []
    pairs = zip(found.variable.mean_fili, found.variable.share, strict=True)
    return [{_c("fili"): index_text(float(fili)), _c("share"): percent(float(share))} for fili, share in pairs]


def mends(rows: Iterable[Mapping[str, Any]]) -> list[Row]:
    """Index if a multiplier, or a pair, were 1."""
    return [{_c("multiplier"): row["label"], _c("index_then"): row["text"]} for row in rows]


def side(values: Mapping[str, float], units: str) -> list[Row]:
    """Where the hands are at both ends of a lift."""
    unit = UNIT_SETS[units]["length"]
    return [
        {
            _c("end"): say(f"handling.end.{end}"),
            _c("reach", unit=unit): fixed(values[f"horizontal_{end}"], 1),
            _c("height", unit=unit): fixed(values[f"vertical_{end}"], 1),
        }
        for end in ("origin", "destination")
    ]


def run_chart(series: Series) -> list[Row]:
    """Times in the order taken, and whether each was kept; of many the first ones, with a word on the rest."""
    times = list(zip(series.cycle, series.seconds, series.used, strict=True))
    rows = [
        {
            _c("cycle"): str(int(cycle)),
            _c("seconds"): fixed(seconds, 2),
            _c("use"): _c("kept") if used else _c("aside"),
        }
        for cycle, seconds, used in times[:MOST_TIMES]
    ]
    if beyond := len(times) - len(rows):
        rows.append({_c("cycle"): "…", _c("seconds"): "", _c("use"): _c("more", count=number(beyond))})
    return rows
