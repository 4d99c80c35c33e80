"""Charts of handling: indices of all tasks, index against pace, what improves a task, the mix of lifts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import altair as alt

from coreset.lifting.job import LEVELS
from coreset.lifting.report.sentences import methods_text
from coreset.lifting.report.status import index_text
from coreset.report.look import ACCENT, BASELINE, CANDIDATE, DASH, INK, MUTED, PAPER, some
from coreset.text import say

LABEL_ROOM = 1.9
"""Length of the axis over the highest index, so that the words beside a mark have their place on a tablet."""
ROW_STEP = 26
MOST_TASKS = 40
"""Tasks drawn, the worst; the table below has more."""
TICKS = 7
INDEX_SHOWN = 4.5
HALO = 4


def method_scale(methods: Sequence[str], kind: str) -> alt.Scale:
    """Colour, dash or shape of each method: the first the current one, the second weighed against it."""
    ranges: dict[str, list[Any]] = {
        "color": [BASELINE, CANDIDATE, MUTED, INK],
        "dash": [DASH["baseline"], DASH["candidate"], [2, 2], [8, 2, 2, 2]],
        "shape": ["circle", "diamond", "square", "triangle-up"],
    }
    return alt.Scale(domain=list(methods), range=ranges[kind][: len(methods)])


def _levels(axis: str, upto: float) -> alt.Chart:
    shown = [{"level": level} for level in LEVELS if level <= upto]
    return (
        alt.Chart(alt.Data(values=shown))
        .mark_rule(strokeDash=[2, 3], color=MUTED, opacity=0.7)
        .encode(**{axis: alt.value(0) if not shown else alt.X("level:Q") if axis == "x" else alt.Y("level:Q")})
    )


def _words(base: alt.Chart, text: str, **how: Any) -> alt.LayerChart:
    """Direct labels, set off from what lies under them."""
    halo = base.mark_text(stroke=PAPER, strokeWidth=HALO, strokeJoin="round", **how).encode(text=alt.Text(text))
    return halo + base.mark_text(**how).encode(text=alt.Text(text))


def _index_axis(title: str, value: str = "li:Q") -> alt.X:
    return alt.X(value, title=title, scale=alt.Scale(domainMin=0, nice=True), axis=alt.Axis(tickCount=TICKS))


def all_tasks(rows: Iterable[dict[str, Any]], methods: Sequence[str]) -> alt.LayerChart | None:
    """Every task that has an index or an RWL of 0, worst on top, by method; limits as dotted rules; None without any.

    A task with an RWL of 0 stands at the right edge with a mark of its own; an interval without an upper end runs to
    that edge and ends in an arrow.

    Parameters
    ----------
    rows : iterable of dict
        `label`, `method`, `li`, `zero`, `low`, `high` and `text` of each task, worst first, from
        `say_handling.task_rows`.
    methods : sequence of str
        Methods in the order of the look.
    """
    drawn = [row for row in rows if row["li"] is not None or row["zero"]]
    if not drawn:
        return None
    shown = drawn[:MOST_TASKS]
    rated = [row for row in drawn if row["li"] is not None]
    ends = [max(row["li"], row["high"] or 0.0) for row in shown if row["li"] is not None]
    edge = LABEL_ROOM * max(ends, default=1.0)
    marks = [_placed(row, edge) for row in shown]
    base = alt.Chart(alt.Data(values=marks)).encode(
        y=alt.Y(
            "label:N",
            sort=list(dict.fromkeys(row["label"] for row in shown)),
            title=None,
            axis=alt.Axis(labelLimit=260),
        )
    )
    worst = max(rated, key=lambda row: row["li"], default=None)
    zero, above = sum(row["zero"] for row in drawn), sum(row["li"] > 1 for row in rated)
    key = "tasks_zero" if zero else "tasks"
    title = say(f"handling.chart.{key}", above=above, all=len(rated), zero=zero)
    said = say("handling.chart.tasks_text", worst=worst["label"], li=index_text(worst["li"])) if worst else ""
    return (_levels("x", edge) + _task_marks(base, methods, edge)).properties(
        height=alt.Step(ROW_STEP),
        title=some(title, len(shown), len(drawn)),
        description=" ".join(filter(None, [title + ".", said, say("handling.chart.tasks_edge")])),
    )


def _placed(row: dict[str, Any], edge: float) -> dict[str, Any]:
    """A row with the places of its marks: `at` of its index, `to` of the end of its interval, `words` of its text."""
    if row["zero"]:
        return row | {"sign": "zero", "at": edge, "low": None, "to": None, "words": edge}
    if row["high"] is None:
        return row | {"sign": "open", "at": row["li"], "to": edge, "words": edge}
    return row | {"sign": "closed", "at": row["li"], "to": row["high"], "words": row["high"]}


def _task_marks(base: alt.Chart, methods: Sequence[str], edge: float) -> alt.LayerChart:
    """Marks of the tasks: intervals, index, arrow of what has no upper end, cross of what is beyond the limits."""

    def at(name: str) -> alt.X:
        scale = alt.Scale(domain=[0, edge], nice=False)
        return alt.X(f"{name}:Q", title=say("handling.axis.index"), scale=scale, axis=alt.Axis(tickCount=TICKS))

    def of(*signs: str) -> alt.Chart:
        return base.transform_filter(alt.FieldOneOfPredicate(field="sign", oneOf=list(signs)))

    quiet = alt.Color("method:N", scale=method_scale(methods, "color"), title=None)
    color = alt.Color(
        "method:N",
        scale=method_scale(methods, "color"),
        title=None,
        legend=alt.Legend(orient="top", symbolOpacity=1),
    )
    shape = alt.Shape("method:N", scale=method_scale(methods, "shape"), title=None)
    spans = (
        of("closed", "open").mark_rule(strokeWidth=2, opacity=0.55).encode(x=at("low"), x2=alt.X2("to:Q"), color=quiet)
    )
    arrows = of("open").mark_point(shape="triangle-right", size=90, filled=True, opacity=1)
    crosses = of("zero").mark_point(shape="cross", angle=45, size=130, filled=True, opacity=1)
    points = of("closed", "open").mark_point(size=110, filled=True, opacity=1)
    words = (
        _words(of("closed").encode(x=at("words")), "text:N", align="left", dx=10),
        _words(of("zero").encode(x=at("words")), "text:N", align="right", dx=-12),
        _words(of("open").encode(x=at("words")), "text:N", align="right", dx=-12, dy=-ROW_STEP // 3),
    )
    rule = alt.Chart(alt.Data(values=[{"edge": edge}])).mark_rule(color=MUTED).encode(x=at("edge"))
    return alt.layer(
        rule,
        spans,
        arrows.encode(x=at("to"), color=quiet),
        crosses.encode(x=at("at"), color=quiet),
        points.encode(x=at("at"), color=color, shape=shape),
        *words,
    )


def pace(curves: Sequence[Any]) -> alt.LayerChart:
    """Index against molds per hour for each method, with the paces of the study and of the standard marked.

    Parameters
    ----------
    curves : sequence of handling.mix.Curve
        One a method.
    """
    methods = [curve.method for curve in curves]
    lines = [
        {"method": c.method, "pace": float(x), "index": float(y)}
        for c in curves
        for x, y in zip(c.molds_per_h, c.index, strict=True)
        if y == y and y <= INDEX_SHOWN
    ]
    marks = [
        {
            "method": c.method,
            "pace": x,
            "index": y,
            "low": low,
            "high": high,
            "which": say(f"handling.pace.{which}"),
            "text": f"{c.method} {index_text(y, c.at_least)}",
        }
        for c in curves
        for which, x, y, (low, high) in (
            ("standard", c.standard_per_h, c.standard_index, c.standard_interval_per_h),
            ("observed", c.observed_per_h, c.observed_index, (c.observed_per_h, c.observed_per_h)),
        )
        if y is not None
    ]
    x = alt.X("pace:Q", title=say("handling.axis.pace"), axis=alt.Axis(tickCount=TICKS))
    y = alt.Y(
        "index:Q", title=say("handling.axis.index_short"), scale=alt.Scale(domainMin=0), axis=alt.Axis(tickCount=TICKS)
    )
    color = alt.Color("method:N", scale=method_scale(methods, "color"), legend=None)
    dash = alt.StrokeDash("method:N", scale=method_scale(methods, "dash"), legend=None)
    drawn = alt.Chart(alt.Data(values=lines)).mark_line(strokeWidth=2.5).encode(x=x, y=y, color=color, strokeDash=dash)
    points = alt.Chart(alt.Data(values=marks)).encode(x=x, y=y)
    spans = points.mark_rule(strokeWidth=2).encode(x=alt.X("low:Q"), x2=alt.X2("high:Q"), color=color)
    dots = points.mark_point(size=90, filled=True, opacity=1).encode(
        color=color,
        shape=alt.Shape(
            "which:N",
            title=None,
            legend=alt.Legend(orient="top", symbolFillColor=MUTED, symbolStrokeColor=MUTED),
            scale=alt.Scale(
                domain=[say("handling.pace.observed"), say("handling.pace.standard")], range=["triangle-up", "circle"]
            ),
        ),
    )
    upto = max([mark["index"] for mark in marks] + [line["index"] for line in lines], default=1.0)
    first = [m for m in marks if m["which"] == say("handling.pace.standard") and m["method"] == methods[0]]
    others = [m for m in marks if m["which"] == say("handling.pace.standard") and m["method"] != methods[0]]
    words = _words(alt.Chart(alt.Data(values=first)).encode(x=x, y=y), "text:N", align="right", dx=-8, dy=-10)
    words += _words(alt.Chart(alt.Data(values=others)).encode(x=x, y=y), "text:N", align="left", dx=8, dy=14)
    return (_levels("y", upto * 1.05) + drawn + spans + dots + words).properties(
        height=300,
        title=say("handling.chart.pace", pattern=curves[0].pattern if curves else "", how=methods_text(curves)),
        description=say("handling.chart.pace_text", how=methods_text(curves)),
    )


def ideal_effects(rows: Sequence[dict[str, Any]], now: float | None, target: float) -> alt.LayerChart:
    """Index if one multiplier, or a pair, were 1, beside the index of today.

    Parameters
    ----------
    rows : sequence of dict
        `label`, `li`, `text`, from `say_handling.ideal_rows`.
    now : float or None
        Index of today.
    target : float
        Index that the plant wants.
    """
    base = alt.Chart(alt.Data(values=list(rows))).encode(
        y=alt.Y("label:N", sort=None, title=None, axis=alt.Axis(labelLimit=260)),
        x=_index_axis(say("handling.axis.index_then")),
    )
    bars = base.mark_bar(height=14, cornerRadiusEnd=2).encode(
        color=alt.condition(f"datum.li <= {target}", alt.value(BASELINE), alt.value(MUTED))
    )
    words = _words(base, "text:N", align="left", dx=6)
    marks = [{"x": target, "text": say("handling.axis.target")}]
    if now is not None:
        marks.append({"x": now, "text": say("handling.axis.now")})
    rules = alt.Chart(alt.Data(values=marks))
    rule = rules.mark_rule(color=ACCENT, strokeWidth=1.5).encode(x=alt.X("x:Q"))
    label = rules.mark_text(color=ACCENT, dy=-8, align="center").encode(
        x=alt.X("x:Q"), y=alt.YValue(0), text=alt.Text("text:N")
    )
    best = rows[0]["label"] if rows else ""
    return alt.layer(bars, rule, words, label).properties(
        height=alt.Step(ROW_STEP),
        title=say("handling.chart.ideal_effects", best=best),
        description=say("handling.chart.ideal_effects_text", best=best, target=index_text(target)),
    )


def mix(found: Any, methods: Sequence[str]) -> alt.LayerChart:
    """How the lifts of a job mix spread over FILI, with the borders of the categories of the variable index.

    Parameters
    ----------
    found : handling.mix.Mix
        Lifts of one method.
    methods : sequence of str
        Methods in the order of the look, which gives its colour.
    """
    total = float(found.weight.sum())
    bars = [{"fili": float(x), "share": float(w) / total * 100} for x, w in zip(found.fili, found.weight, strict=True)]
    edges = [{"edge": float(edge)} for edge in found.variable.edges] if found.variable else []
    drawn = (
        alt.Chart(alt.Data(values=bars))
        .mark_bar(color=(BASELINE, CANDIDATE)[found.method in methods[1:2]])
        .encode(
            x=alt.X("fili:Q", bin=alt.Bin(maxbins=24), title=say("handling.axis.fili"), axis=alt.Axis(tickCount=TICKS)),
            y=alt.Y("sum(share):Q", title=say("handling.axis.share")),
        )
    )
    rules = alt.Chart(alt.Data(values=edges)).mark_rule(color=ACCENT, strokeDash=[3, 3]).encode(x=alt.X("edge:Q"))
    index = found.variable.index if found.variable else None
    return (drawn + rules).properties(
        height=200,
        title=say("handling.chart.mix", vli=index_text(index), method=found.method),
        description=say("handling.chart.mix_text", vli=index_text(index), categories=max(0, len(edges) - 1)),
    )
