"""The figures behind the charts on the line, as rows of text."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from coreset.line.report import sentences
from coreset.report.columns import column_name
from coreset.rounding import fixed
from coreset.text import say


def steps(cycles: Iterable[tuple[str, Any]]) -> list[dict[str, str]]:
    """Steps of the first drawn cycle under each name: who, from when to when, what it waited for.

    Parameters
    ----------
    cycles : iterable of (str, MoldCycle)
        Name of the group in the chart, the mold cycle.
    """
    return [
        {
            column_name("group"): name,
            column_name("who"): sentences.who(bar.by),
            column_name("step"): bar.step,
            column_name("from"): fixed(bar.start_s, 1),
            column_name("to"): fixed(bar.end_s, 1),
            column_name("waited"): f"{fixed(bar.waited_s, 1)} {sentences.who(bar.waited_for)}"
            if bar.waited_s > 0
            else "",
        }
        for name, row in cycles
        for bar in row.bars
        if bar.cycle == 0
    ]


def before_after(change: Any) -> list[dict[str, str]]:
    """Steps as they are and after one change."""
    return steps([(say("line.chart.now"), change.before), (say(f"line.change.{change.code}"), change.after)])
