"""Charts on the line: rates by method, where each station's time goes, gains, and generator against leak."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import altair as alt

from coreset.brief import say_line
from coreset.brief.numbers import number
from coreset.brief.text import say
from coreset.case import Case
from coreset.charts import look
from coreset.rounding import fixed

GAIN_STEP, RATE_STEP, SHARE_STEP = 28, 22, 30
CURVE_HEIGHT = 260
PARTS = ("working", "stopped", "blocked", "starved")
LEGIBLE = 0.06


def _drawn(layers: list[Any], title: Any, words: str, **size: Any) -> alt.LayerChart:
    return alt.layer(*layers).properties(title=title, description=words, **size)


def rates(case: Case, found: Sequence[Any]) -> alt.FacetChart:
    """Molds an hour by pattern, both methods under one another, with intervals."""
    shown = [row for row in found if row.method in (case.baseline, case.candidate)] or list(found)
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
    both = say_line.pairs(case, found)
    best = max(both, key=say_line.gain, default=None)
    title = say("line.chart.rates_none", candidate=case.candidate)
    if best is not None and say_line.gain(best) > 0:
        title = say("line.chart.rates", pattern=best[0].pattern, gain=say_line.signed(say_line.gain(best)))
    words = say("line.chart.rates_text", rows="; ".join(_interval(row) for row in rows))
    names = list(dict.fromkeys(row["method"] for row in rows))
    colours = [look.BASELINE if name == case.baseline else look.CANDIDATE for name in names]
    y = alt.Y("method:N", sort=names, title=None, axis=alt.Axis(domain=False, ticks=False))
    x = alt.X("low:Q", title=say("line.chart.rates_axis"), scale=alt.Scale(zero=True))
    colour = alt.Color("method:N", scale=alt.Scale(domain=names, range=colours), legend=None)
    base = alt.Chart()
    bars = base.mark_bar(height=12).encode(y=y, x=alt.X("rate:Q", title=say("line.chart.rates_axis")), color=colour)
    layers = [
        bars,
        base.mark_rule(color=look.INK, strokeWidth=2).encode(y=y, x=x, x2="high:Q"),
        base.mark_text(align="left", dx=6).encode(y=y, x="high:Q", text="label:N"),
    ]
    order = list(dict.fromkeys(row["pattern"] for row in rows))
    header = alt.Header(labelAngle=0, labelAlign="left", labelFontWeight="bold", title=None)
    return (
        alt.layer(*layers, data=alt.Data(values=rows))
        .properties(width=look.WIDTH - 60, height=alt.Step(RATE_STEP))
        .facet(row=alt.Row("pattern:N", sort=order, header=header), spacing=8)
        .properties(title=title, description=words)
    )


def _interval(row: dict[str, Any]) -> str:
    return f"{row['pattern']} {row['method']} {row['label']} ({fixed(row['low'], 1)} – {fixed(row['high'], 1)})"


def shares(found: Any) -> alt.FacetChart:
    """Where each station's time goes, one panel a method."""
    names = [say(f"line.share.{part}") for part in PARTS]
    rows = [
        {
            "method": m.method,
            "station": say_line.where(station),
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
    title = say("line.chart.shares", pattern=found.pattern, station=say_line.where(last.limited_by))
    told = "; ".join(f"{r['method']} {r['station']} {r['part']} {fixed(r['share'], 1)}" for r in rows)
    colours = alt.Scale(domain=names, range=[look.STEPS[3], look.INK, look.BAD, look.RULE])
    y = alt.Y("station:N", sort=[say_line.where(s) for s in last.run.shares], title=None)
    x = alt.X(
        "share:Q",
        title=say("line.chart.shares_axis"),
        stack="zero",
        scale=alt.Scale(domain=[0, 100], clamp=True),
        axis=alt.Axis(values=[0, 20, 40, 60, 80, 100]),
    )
    colour = alt.Color("part:N", scale=colours, sort=names, legend=alt.Legend(title=None, orient="top", labelLimit=300))
    bars = alt.Chart().mark_bar(height=18).encode(x=x, y=y, color=colour, order="order:Q")
    sorts = [m.method for m in found.methods]
    header = alt.Header(labelAngle=0, labelAlign="left", labelFontWeight="bold", title=None)
    return (
        alt.layer(bars, data=alt.Data(values=rows))
        .properties(width=look.WIDTH - 60, height=alt.Step(SHARE_STEP))
        .facet(row=alt.Row("method:N", sort=sorts, header=header), spacing=10)
        .properties(title=title, description=say("line.chart.shares_text", rows=told))
    )


def gains(found: Any) -> alt.LayerChart:
    """Gain of each change alone and together, with intervals on common draws."""
    base = found.methods[0].run.molds_per_h
    rows = [
        {
            "what": say_line.parts(row),
            "low": 100 * row.low / base,
            "mean": 100 * row.share,
            "high": 100 * row.high / base,
            "setter": row.parts[0][0] == "setter",
            "label": say_line.signed(row.share, 1),
        }
        for row in found.gains
    ]
    best = max(found.gains, key=lambda row: row.share)
    alone = next((row for row in found.gains if row.parts == (("setter", 1.0),)), best)
    best = alone if best.share - alone.share < say_line.WORTH_SAYING else best
    title = say("line.chart.gains_none", pattern=found.pattern)
    if best.share >= say_line.WORTH_SAYING:
        gain = say_line.signed(best.share, 1)
        title = say("line.chart.gains", pattern=found.pattern, what=say_line.parts(best), gain=gain)
    words = say("line.chart.gains_text", rows="; ".join(f"{r['what']} {r['label']}" for r in rows))
    y = alt.Y("what:N", sort=[r["what"] for r in rows], title=None, axis=alt.Axis(labelLimit=420))
    x = alt.X("mean:Q", title=say("line.chart.gains_axis"), axis=alt.Axis(tickCount=6))
    chart = alt.Chart(alt.Data(values=rows))
    colour = alt.condition("datum.setter", alt.value(look.CANDIDATE), alt.value(look.BASELINE))
    layers = [
        chart.mark_bar(height=13).encode(x=x, y=y, color=colour),
        chart.mark_rule(color=look.INK, strokeWidth=1.5).encode(x="low:Q", x2="high:Q", y=y),
        chart.mark_text(align="left", dx=6).encode(x="high:Q", y=y, text="label:N"),
    ]
    return _drawn(layers, _wrapped(title), words, width=look.WIDTH - 120, height=alt.Step(GAIN_STEP))


def _wrapped(title: str, width: int = 88) -> list[str]:
    """A long finding on several lines."""
    lines = [""]
    for word in title.split(" "):
        lines = [*lines, word] if len(lines[-1]) + len(word) >= width else [*lines[:-1], f"{lines[-1]} {word}".strip()]
    return lines


def fit(case: Case, row: Any) -> alt.LayerChart | None:
    """Generators' curve against the leak of a pattern's cores; None where it cannot be reckoned."""
    core = row.cores[0]
    if not math.isfinite(core.reached_kpa):
        return None
    setter = case.setter
    most, flow = setter.vacuum_max_kpa, setter.vacuum_flow_l_min * setter.generators
    leak = sum(c.leak_l_min_kpa * c.per_mold for c in row.cores)
    reach, wanted = core.reached_kpa, max(c.wanted_kpa for c in row.cores)
    top = min(most, flow / leak)
    give, take = say("line.chart.curve_generators"), say("line.chart.curve_leak")
    curves = [
        {"kpa": 0.0, "flow": flow, "curve": give},
        {"kpa": most, "flow": 0.0, "curve": give},
        {"kpa": 0.0, "flow": 0.0, "curve": take},
        {"kpa": top, "flow": leak * top, "curve": take},
    ]
    names = {"reach": fixed(reach), "wanted": fixed(wanted), "leak": fixed(leak * reach)}
    title = say("line.chart.fit", pattern=row.pattern, reach=names["reach"], wanted=names["wanted"])
    words = say("line.chart.fit_text", generators=setter.generators, flow=fixed(flow), most=fixed(most), **names)
    x = alt.X("kpa:Q", title=say("line.chart.fit_x"), scale=alt.Scale(domain=[0, max(most, wanted) * 1.04], nice=False))
    y = alt.Y("flow:Q", title=say("line.chart.fit_y"))
    colours = alt.Scale(domain=[give, take], range=[look.INK, look.BAD])
    line = alt.Chart(alt.Data(values=curves))
    ends = [
        {"kpa": most * 0.03, "flow": flow, "curve": give},
        {"kpa": top * 0.97, "flow": leak * top * 0.97, "curve": take},
    ]
    wish = alt.Chart(alt.Data(values=[{"kpa": wanted, "flow": flow, "label": say("line.chart.wanted")}]))
    meet = alt.Chart(alt.Data(values=[{"kpa": reach, "flow": leak * reach, "label": f"{names['reach']} kPa"}]))
    layers = [
        line.mark_line(strokeWidth=2.5).encode(
            x=x,
            y=y,
            color=alt.Color("curve:N", scale=colours, legend=None),
            strokeDash=alt.StrokeDash("curve:N", legend=None),
        ),
        alt.Chart(alt.Data(values=ends)).mark_text(align="left", dx=8, dy=2).encode(x=x, y=y, text="curve:N"),
        wish.mark_rule(color=look.ACCENT, strokeDash=[4, 4]).encode(x=x),
        wish.mark_text(align="left", dx=5, dy=-4, color=look.ACCENT).encode(x=x, y=alt.datum(0), text="label:N"),
        meet.mark_point(filled=True, size=110, color=look.INK, opacity=1).encode(x=x, y=y),
        meet.mark_text(align="left", dx=10, dy=-10).encode(x=x, y=y, text="label:N"),
    ]
    return _drawn(layers, title, words, width=look.WIDTH, height=CURVE_HEIGHT)
