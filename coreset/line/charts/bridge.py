"""The bridge as a picture: the saving at the stopwatch, what each step takes from it, what reaches the schedule."""

from __future__ import annotations

from typing import Any

import altair as alt

from coreset.line.report import bridge as words
from coreset.report import look
from coreset.report.numbers import number
from coreset.text import say

ROW_STEP, BAR, ABOVE = 42, 12, -15
"""Height of a row and of its bar, and its name above the bar: no axis takes width from the bars. [px]"""
SHOWN_S = 0.05
"""A step that changes the saving by less shows as nothing in a figure of one decimal. [s]"""
TOTAL, GAIN, LOSS = "total", "gain", "loss"


def bridge(found: Any) -> alt.LayerChart:
    """From saved seconds of work to saved seconds of the schedule; steps that change nothing are in the table alone."""
    rows = bars(found)
    order = [row["step"] for row in rows]
    axis = say("line.chart.bridge_axis", candidate=found.candidate)
    title = say("line.chart.bridge", **words.ends(found))
    text = say("line.chart.bridge_text", rows="; ".join(f"{row['step']} {row['label']}" for row in rows))
    base = alt.Chart(alt.Data(values=rows))
    y = alt.Y("step:N", sort=order, title=None, axis=None)
    x = alt.X("from:Q", title=axis, scale=alt.Scale(zero=True), axis=alt.Axis(tickCount=6))
    colours = alt.Scale(domain=[TOTAL, GAIN, LOSS], range=[look.MUTED, look.GOOD, look.BAD])
    layers = [
        base.mark_bar(height=BAR).encode(
            y=y, x=x, x2=alt.X2("to:Q"), color=alt.Color("kind:N", scale=colours, legend=None)
        ),
        base.mark_rule(color=look.INK, strokeWidth=1.5).encode(y=y, x=alt.X("low:Q"), x2=alt.X2("high:Q")),
        base.mark_text(align="left", dy=ABOVE).encode(y=y, x=alt.value(0), text=alt.Text("told:N")),
    ]
    size = {"width": look.WIDTH, "height": alt.Step(ROW_STEP)}
    return alt.layer(*layers).properties(title=title, description=text, **size)


def bars(found: Any) -> list[dict[str, Any]]:
    """The bars in order: the first and the last step as totals, the last with its 95 % ends, the others as changes."""
    first, *between, last = found.steps
    steps = [step for step in (*between, last) if abs(step.passed_s) >= SHOWN_S]
    rows = [_total(say("line.bridge.begins"), first)]
    at = first.saved_s
    for step in steps:
        gain = step.passed_s > 0
        row = {"step": words.name(step), "from": at, "to": at + step.passed_s, "kind": GAIN if gain else LOSS}
        rows.append(row | {"label": f"{'+' if gain else ''}{number(step.passed_s, 1)} s"})
        at += step.passed_s
    rows.append(_total(say("line.bridge.arrives"), last) | {"low": last.low_s, "high": last.high_s})
    for row in rows:
        row["told"] = f"{row['label']}  {row['step']}"
    return rows


def _total(name: str, step: Any) -> dict[str, Any]:
    return {"step": name, "from": 0.0, "to": step.saved_s, "kind": TOTAL, "label": f"{number(step.saved_s, 1)} s"}
