"""Charts of one study: times in the order taken, steps between them, their spread with fits, precision reached."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt
import numpy as np
import pandas as pd
from numpy.typing import NDArray

from coreset.report.look import ACCENT, BASELINE, INK, MUTED, PAPER
from coreset.report.numbers import listed
from coreset.rounding import fixed
from coreset.study import sample_size
from coreset.study.distribution_fit import DistributionFit
from coreset.study.judging import Judged
from coreset.study.report.sentences import capital, family_name, name_of
from coreset.study.run_order import Ordered
from coreset.study.series import Series, drawn
from coreset.text import say

CURVE_POINTS = 120
FITS_DRAWN = 2
ROOM = 1.12
"""Length of the axis of cycles over the last one."""
LIMIT_DASH, MEAN_DASH = [6, 3], [1, 0]


def _cycles(last: float) -> alt.X:
    """Axis of cycles with room at its right end for the names of level lines."""
    scale = alt.Scale(domain=[0, last * ROOM], nice=False)
    return alt.X("cycle:Q", title=say("study.chart.cycle"), axis=alt.Axis(format="d"), scale=scale)


def _levels(values: dict[str, float], last: float) -> list[alt.Chart]:
    """Level lines with their names at the right end."""
    rows = [{"y": y, "name": say(f"study.chart.{name}"), "cycle": last * ROOM} for name, y in values.items()]
    base = alt.Chart(alt.Data(values=rows))
    lines = base.mark_rule(color=MUTED, strokeDash=LIMIT_DASH).encode(y=alt.Y("y:Q"))
    words = base.mark_text(align="right", dy=-7, color=MUTED).encode(
        x=_cycles(last), y=alt.Y("y:Q"), text=alt.Text("name:N")
    )
    return [lines, words]


def run_chart(series: Series, found: Ordered) -> alt.LayerChart:
    """Times in the order taken with the limits of single readings; what was set aside is hollow.

    Parameters
    ----------
    series : Series
        Times of an element or the whole cycle.
    found : Ordered
        `in_order` of the times that are kept.
    """
    limits, name = found.individuals, name_of(series.element)
    out = np.zeros(len(series.seconds), bool)
    out[np.flatnonzero(series.used)] = limits.out
    rows = [
        {"cycle": int(series.cycle[i]), "seconds": float(series.seconds[i]), "used": bool(series.used[i]),
         "out": bool(out[i])}
        for i in drawn(len(series.seconds), out | ~series.used)
    ]  # fmt: skip
    steady = not (limits.out.any() or found.runs.speaks or found.trend.speaks)
    finding = say(f"study.chart.run_{'steady' if steady else 'moving'}", n=len(series.kept))
    base = alt.Chart(pd.DataFrame(rows)).encode(
        x=_cycles(float(series.cycle[-1])),
        y=alt.Y("seconds:Q", title=say("study.chart.seconds"), scale=alt.Scale(zero=False)),
    )
    line = base.transform_filter("datum.used").mark_line(color=BASELINE, strokeWidth=1, opacity=0.6)
    kept = base.transform_filter("datum.used && !datum.out").mark_point(filled=True, size=38, color=BASELINE, opacity=1)
    odd = base.transform_filter("datum.used && datum.out").mark_point(
        filled=True, size=90, color=ACCENT, shape="diamond", opacity=1
    )
    aside = base.transform_filter("!datum.used").mark_point(filled=False, size=70, color=INK, strokeWidth=1.5)
    levels = _levels({"upper": limits.upper, "mean": limits.mean, "lower": limits.lower}, float(series.cycle[-1]))
    marked = [mark for mark, any_row in ((odd, (series.used & out).any()), (aside, (~series.used).any())) if any_row]
    return alt.layer(line, kept, *marked, *levels).properties(
        title=say("study.chart.run", name=capital(name), finding=finding),
        description=say(
            "study.chart.run_text", name=name, n=len(series.seconds), mean=fixed(limits.mean, 1),
            low=fixed(limits.lower, 1), high=fixed(limits.upper, 1), excluded=int((~series.used).sum()),
        ),
    )  # fmt: skip


def moving_range(series: Series, found: Ordered) -> alt.LayerChart:
    """Steps between neighbouring times with their upper limit."""
    limits, cycle = found.individuals, series.cycle[series.used][1:]
    rows = [
        {"cycle": int(cycle[i]), "step": float(limits.moving[i]), "out": bool(limits.moving[i] > limits.moving_upper)}
        for i in drawn(len(limits.moving), limits.moving > limits.moving_upper)
    ]
    base = alt.Chart(pd.DataFrame(rows)).encode(
        x=_cycles(float(series.cycle[-1])),
        y=alt.Y("step:Q", title=say("study.chart.moving")),
    )
    line = base.mark_line(color=BASELINE, strokeWidth=1)
    odd = base.transform_filter("datum.out").mark_point(filled=True, size=90, color=ACCENT, shape="diamond", opacity=1)
    levels = _levels({"upper": limits.moving_upper, "mean": limits.moving_mean}, float(series.cycle[-1]))
    blanks = {"limit": fixed(limits.moving_upper, 1)}
    marked = [odd] if any(row["out"] for row in rows) else []
    return alt.layer(line, *marked, *levels).properties(
        height=160,
        title=say("study.chart.moving_title", **blanks),
        description=say(
            "study.chart.moving_text", name=name_of(series.element), mean=fixed(limits.moving_mean, 1), **blanks
        ),
    )


def histogram(series: Series, fits: Sequence[DistributionFit], times: Any = None) -> alt.LayerChart:
    """Counts of the kept times, or of the times given, with the two likeliest shapes drawn over them, each named.

    Parameters
    ----------
    series : Series
        Times of one element, those kept and those set aside. [s]
    fits : sequence of DistributionFit
        Best first.
    times : array_like, (n,), optional
        Drawn instead of the kept times, such as the tries that were done. [s]
    """
    x = series.kept if times is None else np.asarray(times, float)
    edges = np.histogram_bin_edges(x, bins="fd" if len(x) > 20 else 8)[:61]
    counts, width = np.histogram(x, edges)[0], float(edges[1] - edges[0])
    bars = [
        {"low": float(a), "high": float(b), "count": int(c)} for a, b, c in zip(edges, edges[1:], counts, strict=False)
    ]
    at = np.linspace(max(0.0, float(edges[0]) - width), float(edges[-1]) + width, CURVE_POINTS)
    curves: list[dict[str, Any]] = []
    words: list[dict[str, Any]] = []
    for place, fit in enumerate(fits[:FITS_DRAWN]):
        y = fit.density(at) * len(x) * width
        name = family_name(fit)
        curves += [{"x": float(a), "y": float(b), "name": name, "place": place} for a, b in zip(at, y, strict=True)]
        words.append({"x": float(edges[-1]) + width, "y": float(y.max()), "name": name, "place": place})
    drawn = alt.Chart(alt.Data(values=bars)).mark_bar(color=BASELINE, opacity=0.45, stroke=PAPER, strokeWidth=1)
    scale = alt.Scale(domain=[0, 1], range=[INK, ACCENT])
    look = {"color": alt.Color("place:O", scale=scale, legend=None)}
    dash = alt.StrokeDash("place:O", scale=alt.Scale(domain=[0, 1], range=[[1, 0], [6, 3]]), legend=None)
    curved = pd.DataFrame(curves, columns=["x", "y", "name", "place"])
    layers = [
        drawn.encode(
            x=alt.X("low:Q", title=say("study.chart.seconds"), scale=alt.Scale(zero=False)),
            x2=alt.X2("high:Q"),
            y=alt.Y("count:Q", title=say("study.chart.count"), scale=alt.Scale(domainMin=0)),
            y2=alt.Y2Datum(0),
        ),
        alt.Chart(curved).mark_line(strokeWidth=2).encode(x=alt.X("x:Q"), y=alt.Y("y:Q"), strokeDash=dash, **look),
        alt.Chart(alt.Data(values=[row | {"dy": 16 * row["place"]} for row in words]))
        .mark_text(align="right")
        .encode(x=alt.X("x:Q"), y=alt.YDatum(float(max(counts.max(), 1))), yOffset=alt.YOffset("dy:Q", scale=None),
                text=alt.Text("name:N"), **look),
    ]  # fmt: skip
    name = name_of(series.element)
    low, high = np.quantile(x, [0.5, 0.9])
    return alt.layer(*layers).properties(
        title=say("study.chart.histogram", name=capital(name), median=fixed(low, 1), p90=fixed(high, 1)),
        description=say(
            "study.chart.histogram_text", name=name, n=len(x), families=listed(row["name"] for row in words)
        ),
    )


def precision(series: Series) -> alt.LayerChart:
    """Half-width reached against cycles timed, as the study went on and as it would go on."""
    x = series.kept
    asked = max(sample_size.needed(x), len(x) + 5)
    seen = _seen(x)
    share = sample_size.precision(x)
    ahead = [
        {"n": int(n), "half": float(100 * share * np.sqrt(len(x) / n)), "kind": "ahead"}
        for n in np.unique(np.linspace(len(x), asked * 1.15, 60).astype(int))
    ]
    y = alt.Y("half:Q", title=say("study.chart.precision_axis"), scale=alt.Scale(domain=[0, 30], clamp=True))
    n = alt.X("n:Q", title=say("study.chart.cycles_axis"), axis=alt.Axis(format="d"))
    goal = 100 * sample_size.PRECISION
    point = [{"n": len(x), "half": 100 * share, "name": say("study.chart.reached")}]
    wanted = [{"half": goal, "n": asked * 1.15, "name": say("study.chart.wanted")}]
    marked = alt.Chart(alt.Data(values=point))
    layers = [
        alt.Chart(alt.Data(values=seen)).mark_line(color=BASELINE, strokeWidth=2.5, clip=True).encode(x=n, y=y),
        alt.Chart(alt.Data(values=ahead)).mark_line(color=BASELINE, strokeDash=[2, 4], strokeWidth=2).encode(x=n, y=y),
        marked.mark_point(filled=True, size=110, color=INK, opacity=1).encode(x=n, y=y),
        marked.mark_text(align="left", dx=10, dy=-8, color=INK).encode(x=n, y=y, text=alt.Text("name:N")),
        alt.Chart(alt.Data(values=wanted)).mark_rule(color=ACCENT, strokeDash=LIMIT_DASH).encode(y=y),
        alt.Chart(alt.Data(values=wanted))
        .mark_text(align="right", dy=-7, color=ACCENT)
        .encode(x=n, y=y, text=alt.Text("name:N")),
    ]
    reached = fixed(100 * share, 1)
    return alt.layer(*layers).properties(
        title=say("study.chart.precision", reached=reached, n=len(x), needed=sample_size.needed(x)),
        description=say("study.chart.precision_text", reached=reached, n=len(x)),
    )


def _seen(x: NDArray[np.float64]) -> list[dict[str, Any]]:
    """Precision after each of some numbers of cycles, from the fifth on."""
    if len(x) < 5:
        return []
    places = np.unique(np.linspace(5, len(x), min(60, max(len(x) - 4, 1))).astype(int))
    return [{"n": int(n), "half": float(min(100 * sample_size.precision(x[:n]), 1e3)), "kind": "seen"} for n in places]


PICKED = "picked"
"""Name of the choice of one reading in a chart."""
STATES = {"used": ("circle", BASELINE), "outlier": ("diamond", ACCENT), "excluded": ("cross", MUTED)}


def judging(element: str, rows: Sequence[Judged]) -> alt.Chart:
    """Single readings of an element in the order taken; each can be picked. What counts is told by shape and color."""
    names = {state: say(f"study.judge.{state}") for state in STATES}
    table = [{"seq": r.seq, "cycle": r.cycle, "seconds": r.seconds, "state": names[r.state]} for r in rows]
    shapes, colors = zip(*STATES.values(), strict=True)
    pick = alt.selection_point(name=PICKED, fields=["seq"])
    legend = alt.Legend(title=None, orient="bottom")
    outliers = sum(r.state == "outlier" for r in rows)
    finding = say("study.judge.title_some" if outliers else "study.judge.title_none", name=capital(element), n=outliers)
    return (
        alt.Chart(alt.Data(values=table), title=finding)
        .mark_point(filled=True, size=90, opacity=1, cursor="pointer")
        .encode(
            x=alt.X("cycle:Q", title=say("study.chart.cycle"), axis=alt.Axis(format="d", tickMinStep=1),
                    scale=alt.Scale(domainMin=0)),
            y=alt.Y("seconds:Q", title=say("study.chart.seconds"), scale=alt.Scale(zero=False, padding=12)),
            color=alt.Color("state:N", scale=alt.Scale(domain=list(names.values()), range=list(colors)), legend=legend),
            shape=alt.Shape("state:N", scale=alt.Scale(domain=list(names.values()), range=list(shapes)), legend=legend),
            size=alt.condition(pick, alt.value(260), alt.value(90), empty=False),
            tooltip=[
                alt.Tooltip("seq:Q", title=say("timing.column.seq")),
                alt.Tooltip("cycle:Q", title=say("study.chart.cycle")),
                alt.Tooltip("seconds:Q", title=say("study.chart.seconds"), format=".2f"),
                alt.Tooltip("state:N", title=say("study.odd.state")),
            ],
        )
        .add_params(pick)
        .properties(description=say("study.judge.text", name=element, count=len(rows), outliers=outliers,
                                    excluded=sum(r.state == "excluded" for r in rows)))
    )  # fmt: skip
