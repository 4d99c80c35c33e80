"""The multiple-activity chart: who does what over three cycles, to scale; what each change makes of the cycle."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt

from coreset.line.report import sentences
from coreset.report import look
from coreset.report.numbers import listed
from coreset.rounding import fixed
from coreset.text import say

ROW, BAR = 34, 22
LETTER_S = 0.0092
"""Width of one letter as a share of the drawn time, for leaving out labels that would not fit."""
SAME = "\N{ZERO WIDTH SPACE}"
"""Sets rows of one name apart that belong to different groups, unseen."""
KEY_SIZE = 11
SHADE = 0.96
"""How solid every other cycle is drawn: paler, yet the words on it can be read."""


def activity(rows: Sequence[Any], baseline: str) -> alt.LayerChart:
    """Steps of settled cycles at mean times, one group a method on the same time axis.

    Parameters
    ----------
    rows : sequence of MoldCycle
        One or two methods of a pattern, the first as it is today.
    baseline : str
        Name of the current method; its bars are blue.

    Returns
    -------
    altair chart
        Rows under one another on one time axis.
    """
    end = max(bar.end_s for row in rows for bar in row.bars)
    first, last = rows[0], rows[-1]
    blanks = {
        "pattern": first.pattern,
        "first": first.method,
        "before": fixed(first.mean_s, 1),
        "second": last.method,
        "after": fixed(last.mean_s, 1),
        "loop": listed(first.critical),
    }
    title = say("line.chart.activity" if len(rows) > 1 else "line.chart.activity_one", **blanks)
    groups = [(row.method, row, look.BASELINE if row.method == baseline else look.CANDIDATE) for row in rows]
    words = say("line.chart.activity_text", rows="; ".join(_words(row) for row in rows))
    told = alt.TitleParams(text=title, subtitle=say("line.chart.activity_note").split("\n"))
    return _drawn(groups, end).properties(title=told, description=words)


def _words(row: Any) -> str:
    steps = (bar for bar in row.bars if bar.cycle == 0)
    each = ", ".join(f"{sentences.who(b.by)} {b.step} {fixed(b.start_s)}–{fixed(b.end_s)} s" for b in steps)
    return f"{row.method}: {each}"


def _drawn(groups: Sequence[tuple[str, Any, str]], end: float) -> alt.LayerChart:
    """One row a worker or machine, under a row with the name of its group and the key to its steps."""
    rows, heads, work, waits = [], [], [], []
    for i, (name, row, colour) in enumerate(groups):
        numbers = {name: k for k, name in enumerate((s.name for s in row.steps if not s.event), start=1)}
        own = {who: f"{sentences.who(who)}{SAME * i}" for who in people(row)}
        head = f"{SAME}{i}"
        rows += [head, *own.values()]
        heads.append({"who": head, "name": name, "key": _key(numbers), "colour": colour})
        work += [_worked(bar, end, numbers[bar.step]) | {"who": own[bar.by], "colour": colour} for bar in row.bars]
        waits += [_waited(bar, end) | {"who": own[bar.by]} for bar in row.bars if bar.waited_s > 0]
    hide = f"indexof(datum.value, '{SAME}') == 0 ? '' : datum.value"
    axis = alt.Axis(domain=False, ticks=False, labelLimit=150, labelExpr=hide)
    y = alt.Y("who:N", sort=rows, title=None, axis=axis, scale=alt.Scale(domain=rows))
    scale = alt.Scale(domain=[0, end], nice=False)
    x = alt.X("from:Q", scale=scale, axis=alt.Axis(title=say("line.chart.activity_axis"), tickCount=12))
    colour = alt.Color("colour:N", scale=None, legend=None)
    stay, done, top = (alt.Chart(alt.Data(values=values)) for values in (waits, work, heads))
    ghost = {"fill": look.MUTED, "fillOpacity": 0.12, "stroke": look.MUTED, "strokeDash": [3, 3], "strokeWidth": 0.8}
    shade = alt.condition("datum.odd", alt.value(SHADE), alt.value(1.0))
    name_style = {"align": "left", "baseline": "bottom", "fontWeight": 600}
    key_style = {"align": "left", "baseline": "top", "fontSize": KEY_SIZE, "color": look.MUTED, "lineBreak": "\n"}
    layers = [
        stay.mark_bar(height=BAR, **ghost).encode(x=x, x2=alt.X2("to:Q"), y=y),
        stay.mark_text(fontSize=11, color=look.MUTED, fontStyle="italic").encode(
            x=alt.X("middle:Q"), y=y, text=alt.Text("label:N")
        ),
        done.mark_bar(height=BAR, stroke=look.PAPER, strokeWidth=1.5).encode(
            x=x, x2=alt.X2("to:Q"), y=y, color=colour, opacity=shade
        ),
        done.mark_text(fontSize=11, color=look.ON_BAR).encode(x=alt.X("middle:Q"), y=y, text=alt.Text("label:N")),
        top.mark_text(**name_style, dy=-6).encode(x=alt.XValue(0), y=y, text=alt.Text("name:N"), color=colour),
        top.mark_text(**key_style, dy=-5).encode(x=alt.XValue(0), y=y, text=alt.Text("key:N")),
    ]
    return alt.layer(*layers).properties(width=look.WIDTH, height=alt.Step(ROW))


def people(row: Any) -> list[str]:
    """Workers and machines in order of their first step; people in turn one by one."""
    drawn = dict.fromkeys(bar.by for bar in row.bars)
    found = [name for who in row.shares for name in drawn if name == who or name.startswith(f"{who} (")]
    return sorted(dict.fromkeys(found), key=lambda name: list(row.shares).index(name.partition(" (")[0]))


def _fitting(texts: Sequence[str], seconds: float, end: float) -> str:
    """The first text that its bar holds whole; nothing where it holds none: a word cut off says less than the row."""
    room = int(seconds / (LETTER_S * end))
    return next((text for text in texts if len(text) <= room), "")


def _worked(bar: Any, end: float, number: int) -> dict[str, Any]:
    return {
        "who": sentences.who(bar.by),
        "from": bar.start_s,
        "to": bar.end_s,
        "middle": (bar.start_s + bar.end_s) / 2,
        "odd": bar.cycle % 2 == 1,
        "label": _named(bar.step, number, bar.end_s - bar.start_s, end),
    }


def _named(step: str, number: int, seconds: float, end: float) -> str:
    """Number and name of a step, its number alone where the name does not fit, nothing where not even that."""
    room = int(seconds / (LETTER_S * end))
    whole = f"{number} {step}"
    return whole if len(whole) <= room else str(number) if room >= len(str(number)) else ""


def _waited(bar: Any, end: float) -> dict[str, Any]:
    start = max(bar.start_s - bar.waited_s, 0.0)
    who = sentences.who(bar.waited_for)
    labels = (say("line.chart.waiting_for", who=who), who)
    return {
        "who": sentences.who(bar.by),
        "from": start,
        "to": bar.start_s,
        "middle": (start + bar.start_s) / 2,
        "label": _fitting(labels, bar.start_s - start, end),
    }


def what_if(found: Sequence[Any]) -> alt.LayerChart:
    """The mold cycle after each change, with its interval, against what it is now."""
    rows = [
        {
            "name": look.broken(say(f"line.change.{c.code}")),
            "low": c.after.low_s,
            "mean": c.after.mean_s,
            "high": c.after.high_s,
            "label": f"{fixed(c.after.mean_s, 1)} s",
        }
        for c in found
    ]
    before = found[0].before
    now = {"name": say("line.chart.now"), "low": before.low_s, "mean": before.mean_s, "high": before.high_s}
    rows = [now | {"label": f"{fixed(before.mean_s, 1)} s"}, *sorted(rows, key=lambda row: row["mean"])]
    best = max(found, key=lambda c: c.saved_s)
    title = (
        say("line.chart.what_if", name=_upper(say(f"line.change.{best.code}")), saved=fixed(best.saved_s, 1))
        if best.saved_s > 0.05
        else say("line.chart.what_if_none")
    )
    words = say(
        "line.chart.what_if_text", rows="; ".join(f"{' '.join(row['name'].split())} {row['label']}" for row in rows)
    )
    axis = alt.Axis(labelLimit=200, labelExpr=look.BROKEN)
    y = alt.Y("name:N", sort=[row["name"] for row in rows], title=None, axis=axis)
    axis = alt.Axis(tickCount=6, labelOverlap=True)
    x = alt.X("low:Q", title=say("line.chart.what_if_axis"), scale=alt.Scale(zero=False), axis=axis)
    base = alt.Chart(alt.Data(values=rows))
    layers = [
        alt.Chart(alt.Data(values=[now])).mark_rule(color=look.MUTED, strokeDash=[3, 3]).encode(x=alt.X("mean:Q")),
        base.mark_rule(color=look.INK, strokeWidth=2.5).encode(x=x, x2=alt.X2("high:Q"), y=y),
        base.mark_point(filled=True, size=90, color=look.ACCENT, opacity=1).encode(x=alt.X("mean:Q"), y=y),
        base.mark_text(align="left", dx=7, dy=-11).encode(x=alt.X("mean:Q"), y=y, text=alt.Text("label:N")),
    ]
    lines = max(1 + row["name"].count("\n") for row in rows)
    step = alt.Step(max(40, 17 * lines))
    return alt.layer(*layers).properties(title=title, description=words, width=look.WIDTH, height=step)


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def before_after(change: Any) -> alt.LayerChart:
    """The chart before and after one change, on the same time axis."""
    now, then = change.before, change.after
    end = max(bar.end_s for row in (now, then) for bar in row.bars)
    name = say(f"line.change.{change.code}")
    blanks = {"before": fixed(now.mean_s, 1), "after": fixed(then.mean_s, 1), "saved": fixed(change.saved_s, 1)}
    title = say("line.cycle.saved", name=_upper(name), **blanks)
    groups = [(say("line.chart.now"), now, look.BASELINE), (name, then, look.CANDIDATE)]
    words = say("line.chart.activity_text", rows=f"{_words(now)}; {_words(then)}")
    return _drawn(groups, end).properties(title=title, description=words)


def _key(numbers: dict[str, int], width: int = 95) -> str:
    """Steps by number, on as many lines as they need, broken between steps."""
    lines = [""]
    for name, number in numbers.items():
        longer = f"{lines[-1]} · {number} {name}" if lines[-1] else f"{number} {name}"
        lines = [*lines, f"{number} {name}"] if len(longer) > width else [*lines[:-1], longer]
    return "\n".join(lines)
