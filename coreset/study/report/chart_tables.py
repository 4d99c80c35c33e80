"""The figures behind the run chart, as rows of text."""

from __future__ import annotations

from coreset.report.columns import column_name
from coreset.report.numbers import number
from coreset.rounding import fixed
from coreset.study.series import Series

MOST_TIMES = 200


def run_chart(series: Series) -> list[dict[str, str]]:
    """Times in the order taken, and whether each was kept; of many the first ones, with a word on the rest."""
    times = list(zip(series.cycle, series.seconds, series.used, strict=True))
    rows = [
        {
            column_name("cycle"): str(int(cycle)),
            column_name("seconds"): fixed(seconds, 2),
            column_name("use"): column_name("kept") if used else column_name("aside"),
        }
        for cycle, seconds, used in times[:MOST_TIMES]
    ]
    if beyond := len(times) - len(rows):
        rows.append(
            {
                column_name("cycle"): "…",
                column_name("seconds"): "",
                column_name("use"): column_name("more", count=number(beyond)),
            }
        )
    return rows
