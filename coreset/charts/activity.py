"""The multiple-activity chart: who does what over three cycles, to scale; what each change makes of the cycle."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt

from coreset.brief import say_line
from coreset.brief.numbers import listed
from coreset.brief.text import say
from coreset.charts import look
from coreset.rounding import fixed

ROW, BAR = 34, 22
INK_ON_BAR = "#ffffff"
LETTER_S = 0.011
"""Width of one letter as a share of the drawn time, for leaving out labels that would not fit."""
GROUP_GAP = 18
KEY_SIZE = 11


def activity(rows: Sequence[Any], baseline: str) -> alt.VConcatChart:
    """Steps of settled cycles at mean times, one panel a method on the same time axis.

    Parameters
    ----------
    rows : sequence of MoldCycle
        One or two methods of a pattern, the first as it is today.
    baseline : str
        Name of the method as today; its bars are blue.

    Returns
    -------
    altair chart
        Panels under one another.
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
    panels = [_panel(row, baseline, end, last is row) for row in rows]
    words = say("line.chart.activity_text", rows="; ".join(_words(row) for row in rows))
    told = alt.TitleParams(text=title, subtitle=say("line.chart.activity_note"))
    return alt.vconcat(*panels, spacing=GROUP_GAP).properties(title=told, description=words)


def _words(row: Any) -> str:
    steps = (bar for bar in row.bars if bar.cycle == 0)
    each = ", ".join(f"{say_line.who(b.by)} {b.step} {fixed(b.start_s)}–{fixed(b.end_s)} s" for b in steps)
    return f"{row.method}: {each}"


def _panel(row: Any, baseline: str, end: float, lowest: bool) -> alt.LayerChart:
    colour = look.BASELINE if row.method == baseline else look.CANDIDATE
    people = [say_line.who(name) for name in row.shares]
    numbers = {step.name: i for i, step in enumerate(row.steps, start=1)}
    work = [_worked(bar, end, numbers[bar.step]) for bar in row.bars]
    waits = [_waited(bar, end) for bar in row.bars if bar.waited_s > 0]
    y = alt.Y("who:N", sort=people, title=None, axis=alt.Axis(domain=False, ticks=False, labelLimit=150))
    axis = (
        alt.Axis(title=say("line.chart.activity_axis"), tickCount=12) if lowest else alt.Axis(title=None, labels=False)
    )
    x = alt.X("from:Q", scale=alt.Scale(domain=[0, end], nice=False), axis=axis)
    stay, done = alt.Chart(alt.Data(values=waits)), alt.Chart(alt.Data(values=work))
    layers = [
        stay.mark_bar(
            height=BAR, fill=look.MUTED, fillOpacity=0.12, stroke=look.MUTED, strokeDash=[3, 3], strokeWidth=0.8
        ).encode(x=x, x2="to:Q", y=y),
        stay.mark_text(fontSize=11, color=look.MUTED, fontStyle="italic").encode(x="middle:Q", y=y, text="label:N"),
        done.mark_bar(height=BAR, color=colour, stroke=look.PAPER, strokeWidth=1.5).encode(
            x=x, x2="to:Q", y=y, opacity=alt.condition("datum.odd", alt.value(0.72), alt.value(1.0))
        ),
        done.mark_text(fontSize=11, color=INK_ON_BAR).encode(x="middle:Q", y=y, text="label:N"),
    ]
    return alt.layer(*layers).properties(title=_titled(row, row.method, colour), width=look.WIDTH, height=alt.Step(ROW))


def _fitting(text: str, seconds: float, end: float) -> str:
    """The text, or as much of it as its bar holds; nothing where that would be too little to read."""
    room = int(seconds / (LETTER_S * end))
    if len(text) <= room:
        return text
    return f"{text[: room - 1].rstrip()}…" if room >= 6 else ""


def _worked(bar: Any, end: float, number: int) -> dict[str, Any]:
    return {
        "who": say_line.who(bar.by),
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
    label = say("line.chart.waiting_for", who=say_line.who(bar.waited_for))
    return {
        "who": say_line.who(bar.by),
        "from": start,
        "to": bar.start_s,
        "middle": (start + bar.start_s) / 2,
        "label": _fitting(label, bar.start_s - start, end),
    }


def what_if(found: Sequence[Any]) -> alt.LayerChart:
    """The mold cycle after each change, with its interval, against what it is now."""
    rows = [
        {
            "name": say(f"line.change.{c.code}"),
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
    words = say("line.chart.what_if_text", rows="; ".join(f"{row['name']} {row['label']}" for row in rows))
    y = alt.Y("name:N", sort=[row["name"] for row in rows], title=None, axis=alt.Axis(labelLimit=330))
    x = alt.X("low:Q", title=say("line.chart.what_if_axis"), scale=alt.Scale(zero=False))
    base = alt.Chart(alt.Data(values=rows))
    layers = [
        alt.Chart(alt.Data(values=[now])).mark_rule(color=look.MUTED, strokeDash=[3, 3]).encode(x="mean:Q"),
        base.mark_rule(color=look.INK, strokeWidth=2.5).encode(x=x, x2="high:Q", y=y),
        base.mark_point(filled=True, size=90, color=look.ACCENT, opacity=1).encode(x="mean:Q", y=y),
        base.mark_text(dy=-12).encode(x="mean:Q", y=y, text="label:N"),
    ]
    return alt.layer(*layers).properties(title=title, description=words, width=look.WIDTH, height=alt.Step(40))


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def before_after(change: Any) -> alt.VConcatChart:
    """The chart before and after one change, on the same time axis."""
    now, then = change.before, change.after
    end = max(bar.end_s for row in (now, then) for bar in row.bars)
    name = say(f"line.change.{change.code}")
    blanks = {"before": fixed(now.mean_s, 1), "after": fixed(then.mean_s, 1), "saved": fixed(change.saved_s, 1)}
    title = say("line.cycle.saved", name=_upper(name), **blanks)
    panels = [
        _panel(now, now.method, end, False).properties(title=_titled(now, say("line.chart.now"), look.BASELINE)),
        _panel(then, "", end, True).properties(title=_titled(then, name, look.CANDIDATE)),
    ]
    words = say("line.chart.activity_text", rows=f"{_words(now)}; {_words(then)}")
    return alt.vconcat(*panels, spacing=GROUP_GAP).properties(title=title, description=words)


def _titled(row: Any, text: str, colour: str) -> alt.TitleParams:
    """Title of a panel with the key to the numbers of its steps."""
    key = " · ".join(f"{i} {step.name}" for i, step in enumerate(row.steps, start=1))
    return alt.TitleParams(
        text=text,
        fontSize=look.FONT_SIZE,
        color=colour,
        anchor="start",
        offset=6,
        subtitle=_lines(key),
        subtitleFontSize=KEY_SIZE,
    )


def _lines(key: str, width: int = 118) -> list[str]:
    """A key on as many lines as it needs, broken between steps."""
    lines = [""]
    for part in key.split(" · "):
        longer = f"{lines[-1]} · {part}" if lines[-1] else part
        lines = [*lines, part] if len(longer) > width else [*lines[:-1], longer]
    return lines
