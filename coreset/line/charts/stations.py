"""Charts on the line: rates by method, where each station's time goes, gains, and generator against leak."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import altair as alt

from coreset.case import Case
from coreset.line.charts.places import ChartFrame, LabelSpot
from coreset.line.report import sentences
from coreset.line.supply_curve import supply_curve
from coreset.report import look
from coreset.report.numbers import number
from coreset.rounding import fixed
from coreset.text import say

GAIN_STEP, RATE_STEP, SHARE_STEP = 28, 18, 24
SAME = "\N{ZERO WIDTH SPACE}"
"""Sets rows of one name apart that belong to different groups, unseen."""
CURVE_HEIGHT = 260
PARTS = ("working", "stopped", "blocked", "starved")
LEGIBLE = 0.06
FIT_WIDTHS = (560.0, 700.0, 1_120.0)
"""Widths of the curves' frame on paper, a tablet and a screen, at which no label may cross another. [px]"""
SIDES = (("left", 10, -12), ("right", -10, -12), ("left", 10, 14), ("right", -10, 14))
"""Where a label may lie to its curve: how it is aligned, and pixels aside."""


def _drawn(layers: list[Any], title: Any, words: str, **size: Any) -> alt.LayerChart:
    return alt.layer(*layers).properties(title=title, description=words, **size)


def _one_way(shown: Sequence[Any]) -> str:
    """Title where no pattern has a rate under both methods."""
    best = max(shown, key=lambda row: row.molds_per_h)
    said = {"pattern": best.pattern, "rate": number(best.molds_per_h, 1), "method": best.method}
    return say("line.chart.rates_one_way", **said)


def rates(case: Case, found: Sequence[Any]) -> alt.LayerChart:
    """Molds an hour by pattern, both methods under one another, with intervals."""
    both = sentences.pairs(case, found)
    every = [row for row in found if row.method in (case.baseline, case.candidate)] or list(found)
    telling = {now.pattern: -abs(sentences.gain((now, then))) for now, then in both}
    names = sorted(dict.fromkeys(row.pattern for row in every), key=lambda name: telling.get(name, 0.0))
    kept = set(names[: look.MOST_PATTERNS])
    shown = [row for row in every if row.pattern in kept]
    rows = [
        {
            "pattern": row.pattern,
            "method": row.method,
            "low": row.low,
            "rate": row.molds_per_h,
            "high": row.high,
            "label": number(row.molds_per_h, 1),
        }
        for row in shown
    ]
    best = max(both, key=sentences.gain, default=None)
    title = say("line.chart.rates_none", candidate=case.candidate) if both else _one_way(every)
    if best is not None and sentences.gain(best) > 0:
        title = say("line.chart.rates", pattern=best[0].pattern, gain=sentences.signed(sentences.gain(best)))
    told = look.some(title, len(kept), len(names))
    words = say("line.chart.rates_text", rows="; ".join(_interval(row) for row in rows))
    names = list(dict.fromkeys(row["method"] for row in rows))
    colours = [look.BASELINE if name == case.baseline else look.CANDIDATE for name in names]
    order = _grouped(rows, "pattern", "method")
    y = _rows_axis(order)
    x = alt.X("low:Q", title=say("line.chart.rates_axis"), scale=alt.Scale(zero=True), axis=alt.Axis(tickCount=8))
    colour = alt.Color("method:N", scale=alt.Scale(domain=names, range=colours), legend=None)
    base = alt.Chart(alt.Data(values=rows))
    bars = base.mark_bar(height=12).encode(
        y=y, x=alt.X("rate:Q", title=say("line.chart.rates_axis"), axis=alt.Axis(tickCount=8)), color=colour
    )
    layers = [
        bars,
        base.mark_rule(color=look.INK, strokeWidth=2).encode(y=y, x=x, x2=alt.X2("high:Q")),
        base.mark_text(align="left", dx=6).encode(y=y, x=alt.X("high:Q"), text=alt.Text("label:N")),
    ]
    return _drawn(layers, told, words, width=look.WIDTH, height=alt.Step(RATE_STEP))


def _grouped(rows: list[dict[str, Any]], group: str, name: str) -> list[str]:
    """Give every row a place of its own in `row`: the group's name beside its first, a gap between groups; the order.

    One axis for all of them lets the chart be as wide as the page.
    """
    groups = list(dict.fromkeys(row[group] for row in rows))
    first = {one: next(row[name] for row in rows if row[group] == one) for one in groups}
    for row in rows:
        after = SAME * (groups.index(row[group]) + 1)
        head = row[name] == first[row[group]]
        row["row"] = f"{row[group]} · {row[name]}" if head else f"{row[name]}{after}"
    order: list[str] = []
    for k, one in enumerate(groups):
        order += [SAME * k] if k else []
        order += dict.fromkeys(row["row"] for row in rows if row[group] == one)
    return order


def _rows_axis(order: list[str]) -> alt.Y:
    axis = alt.Axis(domain=False, ticks=False, labelLimit=260)
    return alt.Y("row:N", sort=order, title=None, axis=axis, scale=alt.Scale(domain=order))


def _interval(row: dict[str, Any]) -> str:
    return f"{row['pattern']} {row['method']} {row['label']} ({fixed(row['low'], 1)} – {fixed(row['high'], 1)})"


def shares(found: Any) -> alt.LayerChart:
    """Where each station's time goes, the stations of each method under one another."""
    names = [say(f"line.share.{part}") for part in PARTS]
    rows = [
        {
            "method": m.method,
            "station": sentences.where(station),
            "part": name,
            "share": 100 * share,
            "order": i,
            "label": fixed(100 * share) if share >= LEGIBLE else "",
        }
        for m in found.methods
        for station, shares in m.run.shares.items()
        for i, (name, share) in enumerate(zip(names, shares, strict=True))
    ]
    last = found.methods[-1]
    title = say("line.chart.shares", pattern=found.pattern, station=sentences.where(last.rate.limited_by))
    told = "; ".join(f"{r['method']} {r['station']} {r['part']} {fixed(r['share'], 1)}" for r in rows)
    working, stopped, starved = (look.STEPS[3],) * 2, (look.INK,) * 2, (look.MUTED, look.RULE)
    fills = (working, stopped, (look.BAD, look.PAPER), starved)
    legend = alt.Legend(title=None, orient="top", columns=1)  # one under another they fit a narrow screen
    told_twice = look.told_twice("part:N", dict(zip(names, fills, strict=True)), sort=names, legend=legend)
    y = _rows_axis(_grouped(rows, "method", "station"))
    x = alt.X(
        "share:Q",
        title=say("line.chart.shares_axis"),
        stack="zero",
        scale=alt.Scale(domain=[0, 100], clamp=True),
        axis=alt.Axis(values=[0, 20, 40, 60, 80, 100]),
    )
    bars = (
        alt.Chart(alt.Data(values=rows))
        .mark_bar(height=18, strokeWidth=0.5)
        .encode(x=x, y=y, order=alt.Order("order:Q"), **told_twice)
    )
    words = say("line.chart.shares_text", rows=told)
    return _drawn([bars], title, words, width=look.WIDTH, height=alt.Step(SHARE_STEP))


def gains(found: Any) -> alt.LayerChart:
    """Gain of each change alone and together, with intervals on common draws."""
    base = found.methods[0].rate.changed[0]
    rows = [
        {
            "what": sentences.parts(row),
            "low": 100 * row.low / base,
            "mean": 100 * row.share,
            "high": 100 * row.high / base,
            "setter": row.parts[0][0] == "setter",
            "label": sentences.signed(row.share, 1),
        }
        for row in found.gains
    ]
    best = max(found.gains, key=lambda row: row.share)
    alone = next((row for row in found.gains if row.parts == (("setter", 1.0),)), best)
    best = alone if best.share - alone.share < sentences.WORTH_SAYING else best
    title = say("line.chart.gains_none", pattern=found.pattern)
    if best.share >= sentences.WORTH_SAYING:
        gain = sentences.signed(best.share, 1)
        title = say("line.chart.gains", pattern=found.pattern, what=sentences.parts(best), gain=gain)
    words = say("line.chart.gains_text", rows="; ".join(f"{r['what']} {r['label']}" for r in rows))
    y = alt.Y("what:N", sort=[r["what"] for r in rows], title=None, axis=alt.Axis(labelLimit=420))
    x = alt.X("mean:Q", title=say("line.chart.gains_axis"), axis=alt.Axis(tickCount=6))
    chart = alt.Chart(alt.Data(values=rows))
    colour = alt.condition("datum.setter", alt.value(look.CANDIDATE), alt.value(look.BASELINE))
    layers = [
        chart.mark_bar(height=13).encode(x=x, y=y, color=colour),
        chart.mark_rule(color=look.INK, strokeWidth=1.5).encode(x=alt.X("low:Q"), x2=alt.X2("high:Q"), y=y),
        chart.mark_text(align="left", dx=6).encode(x=alt.X("high:Q"), y=y, text=alt.Text("label:N")),
    ]
    return _drawn(layers, _wrapped(title), words, width=look.WIDTH - 120, height=alt.Step(GAIN_STEP))


def _wrapped(title: str, width: int = 88) -> list[str]:
    """A long finding on several lines."""
    lines = [""]
    for word in title.split(" "):
        lines = [*lines, word] if len(lines[-1]) + len(word) >= width else [*lines[:-1], f"{lines[-1]} {word}".strip()]
    return lines


def fit(case: Case, row: Any) -> alt.LayerChart | None:
    """Generators' curve against the leak of a pattern's cores; None where it cannot be calculated."""
    core = row.cores[0]
    if not math.isfinite(core.reached_kpa):
        return None
    setter, curve = case.setter, supply_curve(case.setter)
    if curve is None:
        return None
    gives = [(kpa, q * setter.generators) for kpa, q in zip(curve.kpa, curve.flow_l_min, strict=True)]
    most, flow = curve.most_kpa, gives[0][1]
    leak = sum(c.leak_l_min_kpa * c.per_mold for c in row.cores)
    reach, wanted = core.reached_kpa, max(c.wanted_kpa for c in row.cores)
    top = min(most, flow / leak)
    give, take = say("line.chart.curve_generators"), say("line.chart.curve_leak")
    curves = [
        *({"kpa": kpa, "flow": q, "curve": give} for kpa, q in gives),
        {"kpa": 0.0, "flow": 0.0, "curve": take},
        {"kpa": top, "flow": leak * top, "curve": take},
    ]
    names = {"reach": fixed(reach), "wanted": fixed(wanted), "leak": fixed(leak * reach)}
    title = say("line.chart.fit", pattern=row.pattern, reach=names["reach"], wanted=names["wanted"])
    words = say("line.chart.fit_text", generators=setter.generators, flow=fixed(flow), most=fixed(most), **names)
    x_most, y_most = max(most, wanted) * 1.04, max(flow, leak * top) * 1.08
    x = alt.X(
        "kpa:Q",
        title=say("line.chart.fit_x"),
        scale=alt.Scale(domain=[0, x_most], nice=False),
        axis=alt.Axis(tickCount=10),
    )
    y = alt.Y("flow:Q", title=say("line.chart.fit_y"), scale=alt.Scale(domain=[0, y_most], nice=False))
    colours = alt.Scale(domain=[give, take], range=[look.INK, look.BAD])
    line = alt.Chart(alt.Data(values=curves))
    wish = alt.Chart(alt.Data(values=[{"kpa": wanted}]))
    meet = alt.Chart(alt.Data(values=[{"kpa": reach, "flow": leak * reach}]))
    frame = ChartFrame(
        lines=[*pairwise(gives), ((0, 0), (top, leak * top)), ((wanted, 0), (wanted, y_most))],
        x_most=x_most,
        y_most=y_most,
        widths=FIT_WIDTHS,
        height=CURVE_HEIGHT,
    )
    layers = [
        line.mark_line(strokeWidth=2.5).encode(
            x=x,
            y=y,
            color=alt.Color("curve:N", scale=colours, legend=None),
            strokeDash=alt.StrokeDash("curve:N", legend=None),
        ),
        wish.mark_rule(color=look.ACCENT, strokeDash=[4, 4]).encode(x=x),
        meet.mark_point(filled=True, size=110, color=look.INK, opacity=1).encode(x=x, y=y),
        *_fit_labels(frame, {"reach": f"{names['reach']} kPa", "give": give, "take": take}, (reach, leak), (x, y)),
    ]
    return _drawn(layers, title, words, width=look.WIDTH, height=CURVE_HEIGHT)


def _on_line(x: float, points: Sequence[tuple[float, float]]) -> float:
    """Height of a line through points at x."""
    (x0, y0), (x1, y1) = next(pair for pair in pairwise(points) if x <= pair[1][0] or pair[1] == points[-1])
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def _fit_labels(
    frame: ChartFrame, said: dict[str, str], at: tuple[float, float], axes: tuple[Any, Any]
) -> list[alt.Chart]:
    """Labels of the fit chart, crossing neither line nor one another: where the curves meet, wanted, both curves.

    `at` is the vacuum reached and the leak for each kPa; `axes` are the chart's x and y.
    """
    reach, leak = at
    gives = [start for start, _ in frame.lines[:-2]] + [frame.lines[-3][1]]
    (top, high), wanted, most = frame.lines[-2][1], frame.lines[-1][0][0], gives[-1][0]
    beside = [("left", 14, 0), ("center", 0, -22), ("right", -14, 0), ("center", 0, 22), ("left", 12, -24)]
    beside += [("left", 12, 24), ("right", -12, 24), ("right", -12, -24), ("left", 16, 40), ("center", 0, -40)]
    along = [(k / 20, align, dx, dy) for k in (1, 4, 6, 8, 10, 12, 14, 16) for align, dx, dy in SIDES]
    offered = {
        "reach": [LabelSpot(x=reach, y=leak * reach, align=a, dx=dx, dy=dy) for a, dx, dy in beside],
        "wanted": [
            LabelSpot(x=wanted, y=y * frame.y_most, align=a, dx=dx)
            for y in (0.96, 0.05, 0.8, 0.15, 0.9)
            for a, dx in (("left", 6), ("right", -6))
        ],
        "give": [LabelSpot(x=t * most, y=_on_line(t * most, gives), align=a, dx=dx, dy=dy) for t, a, dx, dy in along],
        "take": [LabelSpot(x=(1 - t) * top, y=(1 - t) * high, align=a, dx=dx, dy=dy) for t, a, dx, dy in along],
    }
    texts, layers = said | {"wanted": say("line.chart.wanted")}, []
    for name, spots in offered.items():
        spot = frame.put(texts[name], spots)
        layers.append(
            alt.Chart(alt.Data(values=[{"kpa": spot.x, "flow": spot.y, "label": texts[name]}]))
            .mark_text(align=spot.align, dx=spot.dx, dy=spot.dy, color=look.ACCENT if name == "wanted" else look.INK)
            .encode(x=axes[0], y=axes[1], text=alt.Text("label:N"))
        )
    return layers
