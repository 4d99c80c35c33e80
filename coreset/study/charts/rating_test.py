"""Chart of a rater's check: ratings given against the paces shown, with the line on which they would agree."""

from __future__ import annotations

from collections.abc import Sequence

import altair as alt

from coreset.case import RatedPace
from coreset.report.look import BASELINE, CANDIDATE, INK, MUTED
from coreset.rounding import fixed
from coreset.study.rating_test import check
from coreset.text import say

ROOM = 5.0
"""Pace left free on both sides of what was shown. [points of the scale]"""


def rater_check(rows: Sequence[RatedPace]) -> alt.LayerChart:
    """Rated over known pace, walks and deals apart, with the line of equality and the fitted one."""
    found = check([row.known_pct for row in rows], [row.rated_pct for row in rows])
    everything = [value for row in rows for value in (row.known_pct, row.rated_pct)]
    low, high = min(everything) - ROOM, max(everything) + ROOM
    lines = [
        {"known": at, "rated": y, "name": name}
        for name, f in (("equal", lambda x: x), ("fitted", lambda x: found.level_pct + found.slope * x))
        for at, y in ((low, f(low)), (high, f(high)))
    ]
    points = [
        {"known": row.known_pct, "rated": row.rated_pct, "shown": say(f"study.rater.{row.shown}_short")} for row in rows
    ]
    scale = alt.Scale(domain=[low, high], nice=False)
    x = alt.X("known:Q", title=say("study.rater.axis_known"), scale=scale)
    y = alt.Y("rated:Q", title=say("study.rater.axis_rated"), scale=scale)
    names = [say("study.rater.walking_short"), say("study.rater.dealing_short")]
    base = alt.Chart(alt.Data(values=lines))
    layers = [
        base.transform_filter("datum.name == 'equal'").mark_line(color=MUTED, strokeDash=[2, 3], clip=True),
        base.transform_filter("datum.name == 'fitted'").mark_line(color=INK, strokeWidth=2, clip=True),
        alt.Chart(alt.Data(values=points)).mark_point(filled=True, size=80, opacity=1).encode(
            color=alt.Color("shown:N", scale=alt.Scale(domain=names, range=[BASELINE, CANDIDATE]), title=None,
                            legend=alt.Legend(orient="top")),
            shape=alt.Shape("shown:N", scale=alt.Scale(domain=names, range=["circle", "diamond"]), title=None),
        ),
    ]  # fmt: skip
    said = {"bias": fixed(found.bias_pct, 1), "sd": fixed(found.sd_pct, 1)}
    return alt.layer(*[layer.encode(x=x, y=y) for layer in layers]).properties(
        height=260, title=say("study.rater.chart", **said), description=say("study.rater.chart_text", **said)
    )
