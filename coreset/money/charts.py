"""Charts on money: flow, first year, what moves the answer, run length, ways. Titles state the finding."""

from __future__ import annotations

import math
from typing import Any

import altair as alt

from coreset.money.chances import payback_shares
from coreset.money.decision import Decision
from coreset.money.input_effects import InputEffect
from coreset.money.report.names import input_name, plain_years
from coreset.money.report.sentences import about, amount, as_borne, way_name
from coreset.money.report.tables import masked
from coreset.report import look
from coreset.report.numbers import MINUS, of_100, percent
from coreset.rounding import fixed
from coreset.text import say

BARS = 10
BAR_STEP, CELL_STEP = 26, 30
NAMED_STEP, BAR, ABOVE = 40, 12, -16
"""A row whose name stands above its bar, so that a narrow screen leaves the bars their width. [px]"""
NUMBER: dict[str, Any] = {"format": "~s", "labelExpr": "datum.value ? datum.label : '0'"}
"""How an axis of money writes its figures: 20k, and nothing as 0."""


def _drawn(layers: list[alt.Chart], title: Any, text: str, **size: Any) -> alt.LayerChart:
    return alt.layer(*layers).properties(title=title, description=text, **size)


def _if_allowed(d: Decision, title: str) -> str:
    """A finding about the set that is weighed; of one that breaks a limit it says so."""
    return say("money.chart.if_allowed", title=title) if d.needs else title


def cash_flow(d: Decision) -> alt.LayerChart:
    """Flow of each year as bars, the discounted sum as a line in its band."""
    back = fixed(d.discounted_payback_years, 1)
    title = say("money.chart.flow", back=back) if d.npv_at_means > 0 else say("money.chart.flow_never", years=d.years)
    rate = f"{fixed(100 * d.discount_rate, 1)} %"
    text = say("money.chart.flow_text", rate=rate, npv=as_borne(d.npv_at_means, d.npv_spread, d.currency))
    bars = [{"year": row.year, "value": row.total} for row in d.cash_flow]
    band = [
        {"year": fan.year, "low": fan.low, "high": fan.high, "mean": row.discounted_cumulative}
        for fan, row in zip(d.fan, d.cash_flow, strict=True)
    ]
    x = alt.X(
        "year:Q",
        title=say("money.chart.year"),
        axis=alt.Axis(values=list(range(d.years + 1)), format="d"),
        scale=alt.Scale(domain=[-0.5, d.years + 0.5], nice=False),
    )
    money = say("money.chart.money", currency=d.currency)
    end = [band[-1] | {"label": say("money.chart.flow_line")}]
    layers = [
        alt.Chart(alt.Data(values=band))
        .mark_area(opacity=0.25, color=look.CANDIDATE)
        .encode(x=x, y=alt.Y("low:Q"), y2=alt.Y2("high:Q")),
        alt.Chart(alt.Data(values=bars))
        .mark_bar(width=14, color=look.MUTED, opacity=0.75)
        .encode(x=x, y=alt.Y("value:Q", title=money, axis=alt.Axis(**NUMBER, tickCount=6))),
        alt.Chart(alt.Data(values=band))
        .mark_line(color=look.CANDIDATE, strokeDash=look.DASH["candidate"], strokeWidth=2.5)
        .encode(x=x, y=alt.Y("mean:Q")),
        alt.Chart(alt.Data(values=end))
        .mark_text(align="right", dx=-4, dy=-12, color=look.CANDIDATE)
        .encode(x=x, y=alt.Y("high:Q"), text=alt.Text("label:N")),
        alt.Chart(alt.Data(values=[{"zero": 0}])).mark_rule(color=look.INK).encode(y=alt.Y("zero:Q")),
    ]
    return _drawn(layers, _if_allowed(d, title), text, height=300)


_BACK = {"in_time": (look.CANDIDATE, look.CANDIDATE), "late": (look.MUTED, look.PAPER), "never": (look.BAD, look.PAPER)}
"""Outline and filling of a bar by whether the money is back within the plant's limit."""


def payback_chance(d: Any) -> alt.LayerChart:
    """In how many of 100 outcomes the money is back in each year, and in how many not at all."""
    limit, shares = d.payback_limit_years, payback_shares(d)
    late = say("money.chart.back_late", years=d.years)
    names = [*map(str, range(1, d.years + 1)), late]
    kinds = [_kind(year, limit, d.years) for year in range(1, d.years + 2)]
    rows = [
        {"year": name, "count": 100.0 * share, "kind": kind, "label": of_100(share)}
        for name, share, kind in zip(names, shares, kinds, strict=True)
    ]
    within = percent(d.alternatives[0].chance_payback)
    title = say("money.chart.back", chance=within, limit=plain_years(limit)) if limit else say("money.chart.back_years")
    told = "; ".join(f"{row['year']}: {row['label']}" for row in rows)
    x = alt.X("year:N", sort=names, title=say("money.chart.year"), axis=alt.Axis(labelAngle=0, labelOverlap=False))
    y = alt.Y("count:Q", title=say("money.chart.back_axis"), axis=alt.Axis(tickCount=4, format="d"))
    base = alt.Chart(alt.Data(values=rows))
    layers = [
        base.mark_bar(strokeWidth=1.5).encode(x=x, y=y, **look.told_twice("kind:N", _BACK)),
        base.mark_text(dy=-8).encode(x=x, y=y, text=alt.Text("label:N")),
    ]
    of = say(f"money.chart.back_{d.payback_rule}")
    said = alt.TitleParams(text=_if_allowed(d, title), subtitle=say("money.chart.back_open", of=of) if limit else of)
    return _drawn(layers, said, say("money.chart.back_text", rows=told), height=220)


def _kind(year: int, limit: float, years: int) -> str:
    if year > years:
        return "never"
    return "late" if limit and year > limit else "in_time"


def pattern_savings(d: Decision) -> alt.LayerChart:
    """What going over saves with each pattern in a year, its own mask paid; whether it goes over, or why not."""
    known = sorted((row for row in d.patterns if math.isfinite(row.saving_per_year)), key=lambda r: -r.saving_per_year)
    rows = [
        {
            "pattern": row.pattern,
            "low": row.saving_low,
            "mean": row.saving_per_year,
            "high": row.saving_high,
            "label": say("money.chart.goes_over") if row.masked and not row.forced else masked(row),
            "kind": "over" if row.masked else "stays",
        }
        for row in known[: look.MOST_PATTERNS]
    ]
    order = [row["pattern"] for row in rows]
    title = say("money.chart.patterns_none")
    if chosen := [row for row in known if row.masked]:
        saved = about(chosen[0].saving_per_year, d.currency)
        title = say("money.chart.patterns", pattern=chosen[0].pattern, saving=saved)
    words = "; ".join(f"{r['pattern']} {amount(r['mean'])} ({amount(r['low'])} – {amount(r['high'])})" for r in rows)
    y = alt.Y("pattern:N", sort=order, title=None)
    x = alt.X(
        "low:Q", title=say("money.chart.patterns_axis", currency=d.currency), axis=alt.Axis(**NUMBER, tickCount=5)
    )
    scale = alt.Scale(domain=["over", "stays"], range=[look.CANDIDATE, look.BASELINE])
    color = alt.Color("kind:N", scale=scale, legend=None)
    base = alt.Chart(alt.Data(values=rows))
    layers = [
        alt.Chart(alt.Data(values=[{"zero": 0}])).mark_rule(color=look.INK).encode(x=alt.X("zero:Q")),
        base.mark_rule(strokeWidth=3).encode(y=y, x=x, x2=alt.X2("high:Q"), color=color),
        base.mark_point(size=100, filled=True, opacity=1).encode(
            y=y, x=alt.X("mean:Q"), color=color, shape=alt.Shape("kind:N", legend=None)
        ),
        base.mark_text(align="left", dx=2, dy=-13).encode(y=y, x=alt.X("low:Q"), text=alt.Text("label:N")),
    ]
    return _drawn(layers, _if_allowed(d, title), say("money.chart.patterns_text", rows=words), height=alt.Step(46))


def waterfall(d: Decision) -> alt.LayerChart:
    """The first running year from item to item."""
    year = d.cash_flow[1]
    parts = sorted(year.parts.items(), key=lambda part: -part[1])
    rows, at = [], 0.0
    for name, value in parts:
        label = say(f"money.item.{name}")
        rows.append({"item": label, "from": at, "to": at + value, "kind": "gain" if value > 0 else "cost"})
        at += value
        rows[-1]["label"] = f"{'+' if value > 0 else '−'}{amount(abs(value))}"
    rows.append({"item": say("money.item.total"), "from": 0.0, "to": at, "kind": "total", "label": amount(at)})
    order = [row["item"] for row in rows]
    brings = at >= 0
    said = {"total": as_borne(abs(at), d.yearly_saving, d.currency), "item": order[0] if brings else order[-2]}
    title = say("money.chart.waterfall" if brings else "money.chart.waterfall_costs", **said)
    text = say("money.chart.waterfall_text", items="; ".join(f"{row['item']} {row['label']}" for row in rows))
    y = alt.Y("item:N", sort=order, title=None, axis=alt.Axis(labelLimit=220))
    colours = alt.Scale(domain=["gain", "cost", "total"], range=[look.GOOD, look.BAD, look.MUTED])
    base = alt.Chart(alt.Data(values=rows))
    axis = alt.Axis(**NUMBER, tickCount=6)
    x = alt.X("from:Q", title=say("money.chart.money", currency=d.currency), axis=axis)
    layers = [
        base.mark_bar().encode(y=y, x=x, x2=alt.X2("to:Q"), color=alt.Color("kind:N", scale=colours, legend=None)),
        base.transform_calculate(end="max(datum.from, datum.to)")
        .mark_text(align="left", dx=5)
        .encode(y=y, x=alt.X("end:Q"), text=alt.Text("label:N")),
    ]
    return _drawn(layers, _if_allowed(d, title), text, height=alt.Step(BAR_STEP))


def _bars(drivers: list[InputEffect], centre: float) -> list[dict[str, Any]]:
    """Two bars an input, from the middle to where its low and its high value take the answer."""
    low, high = say("money.chart.at_low"), say("money.chart.at_high")
    ends = [(row, end, at) for row in drivers for end, at in ((low, row.at_low), (high, row.at_high))]
    return [
        {"input": input_name(row.name), "end": end, "from": min(centre, at), "to": max(centre, at)}
        for row, end, at in ends
    ]


def tornado(d: Decision) -> alt.LayerChart:
    """Net present value at the low and high end of each input; the total-order index beside it."""
    drivers, centre = [row for row in d.drivers if row.swing > 0][:BARS], d.npv_at_means
    order = [input_name(row.name) for row in drivers]
    marks = [
        {
            "input": name,
            "at": max(r.at_low, r.at_high, centre),
            "npv": centre,
            "index": fixed(r.total_order, 2) if r.total_order == r.total_order else "–",
        }
        for name, r in zip(order, drivers, strict=True)
    ]
    words = [f"{name}: {amount(r.at_low)} / {amount(r.at_high)}" for name, r in zip(order, drivers, strict=True)]
    first = order[0] if order else say("common.not_known")
    title = say("money.chart.tornado", name=first[:1].upper() + first[1:])
    y, money = alt.Y("input:N", sort=order, title=None, axis=None), say("money.chart.tornado_axis", currency=d.currency)
    x = alt.X("from:Q", title=money, axis=alt.Axis(**NUMBER, tickCount=6), scale=alt.Scale(zero=False))
    ends = [say("money.chart.at_low"), say("money.chart.at_high")]
    two = dict(zip(ends, ((look.STEPS[4], look.PAPER), (look.STEPS[4], look.STEPS[4])), strict=True))
    told = look.told_twice("end:N", two, title=None, legend=alt.Legend(orient="top"))
    bars, named = (alt.Chart(alt.Data(values=rows)) for rows in (_bars(drivers, centre), marks))
    layers = [
        bars.mark_bar(height=BAR, strokeWidth=1.5).encode(y=y, x=x, x2=alt.X2("to:Q"), **told),
        named.mark_tick(color=look.INK, thickness=1.5, size=BAR + 5).encode(y=y, x=alt.X("npv:Q")),  # names stay clear
        named.mark_text(align="left", dx=6).encode(y=y, x=alt.X("at:Q"), text=alt.Text("index:N")),
        named.mark_text(align="left", dy=ABOVE).encode(y=y, x=alt.value(0), text=alt.Text("input:N")),
    ]
    text = say("money.chart.tornado_text", rows="; ".join(words))
    said = alt.TitleParams(text=title, subtitle=say("money.chart.tornado_note"))
    return _drawn(layers, said, text, height=alt.Step(NAMED_STEP))


def _never(pattern: str) -> str:
    """A pattern that pays at no run length, whatever the mean pattern of the chart does."""
    return say("money.chart.never", pattern=pattern)


def run_length(d: Decision) -> alt.LayerChart | None:
    """Saving of a mold by run length and cores, with the plant's patterns placed in it."""
    if d.grid is None:
        return None
    cells = [{"run": str(c.run_molds), "cores": c.cores_per_mold, "saving": c.saving_per_mold} for c in d.grid.cells]
    runs = list(dict.fromkeys(cell["run"] for cell in cells))
    counts = sorted({c.cores_per_mold for c in d.grid.cells})
    points = [
        {
            "run": min(runs, key=lambda n: abs(float(n) / row.run_molds - 1)),
            "cores": min(counts, key=lambda n: abs(n - row.cores_per_mold)),
            "name": row.pattern if math.isfinite(row.break_even_run_molds) else _never(row.pattern),
        }
        for row in d.patterns
        if row.cores_per_mold and row.run_molds > 0
    ]
    cores = sorted(point["cores"] for point in points)[len(points) // 2] if points else 1
    pays = [c for c in d.grid.cells if c.cores_per_mold == cores and c.saving_per_mold > 0]
    title = say("money.chart.runs", run=fixed(pays[0].run_molds), cores=cores) if pays else say("money.chart.runs_none")
    places = "; ".join(f"{p['name']} {p['run']}, {p['cores']}" for p in points)
    text = say("money.chart.runs_text", seconds=fixed(d.grid.seconds_per_core, 1), points=places)
    reach = max(abs(cell["saving"]) for cell in cells)
    reach = min(reach, 3 * max((cell["saving"] for cell in cells), default=reach)) or 1.0
    colours = alt.Scale(domain=[-reach, 0, reach], range=["#dba9bb", "#f4f1ea", "#9cc9c4"], clamp=True)
    x = alt.X("run:O", sort=runs, title=say("money.chart.run_axis"), axis=alt.Axis(labelAngle=0))
    y = alt.Y("cores:O", sort="descending", title=say("money.chart.core_axis"))
    legend = alt.Legend(title=say("money.chart.saving_axis", currency=d.currency), format=".2f", orient="right")
    base = alt.Chart(alt.Data(values=cells))
    stacked: dict[tuple[str, int], list[str]] = {}
    for point in points:
        stacked.setdefault((point["run"], point["cores"]), []).append(point["name"])
    labels = [{"run": run, "cores": cores, "name": ", ".join(names)} for (run, cores), names in stacked.items()]
    marks = alt.Chart(alt.Data(values=labels))
    layers = [
        base.mark_rect().encode(x=x, y=y, color=alt.Color("saving:Q", scale=colours, legend=legend)),
        base.transform_filter("datum.saving < 0").mark_text(dy=-7, color="#22262b", text=MINUS).encode(x=x, y=y),
        marks.mark_point(color="#22262b", filled=True, size=45, yOffset=-7).encode(x=x, y=y),
        marks.mark_text(dy=8, color="#22262b", fontWeight=600).encode(x=x, y=y, text=alt.Text("name:N")),
    ]
    return _drawn(layers, title, text, height=alt.Step(CELL_STEP))


def ways(d: Decision) -> alt.LayerChart:
    """Net present value of every way: base case, and interval over the same runs."""
    rows = [
        {
            "way": way_name(row.name),
            "low": row.npv.low,
            "base": row.base_npv,
            "high": row.npv.high,
            "label": as_borne(row.base_npv, row.npv),
        }
        for row in d.alternatives
    ]
    able = [row for row in d.alternatives if not row.needs and row.npv.mean > 0]
    best = max(able, key=lambda row: row.npv.mean, default=None)
    title = say("money.chart.ways", best=way_name(best.name)) if best else say("money.chart.ways_none")
    words = "; ".join(f"{r['way']} {amount(r['base'])} ({amount(r['low'])} – {amount(r['high'])})" for r in rows)
    axis = alt.Axis(**NUMBER, tickCount=6)
    money, room = say("money.chart.tornado_axis", currency=d.currency), alt.Scale(padding=36)
    x = alt.X("low:Q", title=money, axis=axis, scale=room)
    base = alt.Chart(alt.Data(values=rows))
    today = {"way": say("money.chart.today"), "base": 0.0, "label": "0"}
    y = alt.Y("way:N", sort=[today["way"], *(row["way"] for row in rows)], title=None, axis=alt.Axis(labelLimit=220))
    now = alt.Chart(alt.Data(values=[today]))
    layers = [
        now.mark_rule(color=look.BASELINE, strokeWidth=1.5).encode(x=alt.X("base:Q")),
        now.mark_point(color=look.BASELINE, filled=True, size=110, opacity=1).encode(y=y, x=alt.X("base:Q")),
        base.mark_rule(color=look.CANDIDATE, strokeWidth=3).encode(y=y, x=x, x2=alt.X2("high:Q")),
        base.mark_point(color=look.CANDIDATE, size=110, fill=look.PAPER, strokeWidth=2.5, opacity=1).encode(
            y=y, x=alt.X("base:Q")
        ),
        base.mark_text(dy=-13).encode(y=y, x=alt.X("base:Q"), text=alt.Text("label:N")),
    ]
    return _drawn(layers, title, say("money.chart.ways_text", rows=words), height=alt.Step(46))
