"""Charts of the brief, sized for paper: cash flow, what moves the answer, mold cycles, lifting indices."""

from __future__ import annotations

import math
from collections.abc import Container, Iterable
from textwrap import wrap
from typing import Any

from coreset.decision.names import short
from coreset.lifting.report.status import index_text, worst_index
from coreset.money.report.names import input_name, payback_interval, payback_value
from coreset.report.look import BASELINE, CANDIDATE, INK, MUTED, PAPER
from coreset.report.numbers import borne, listed, number
from coreset.text import say

NAMED = 6
"""Patterns that a title names before it counts them."""
WIDTH, HALF = 640, 300
HEIGHT, HALF_HEIGHT = 190, 160
AXIS = 54
"""What the numbers of an upright axis take of the width, in a chart that has none."""
BROADEST = 16
"""Width of a bar, the most."""
LIFTED, BESIDE = 11, 230
"""How far above its bar the name of an input stands; how long it may be beside it."""
ROW, CLOSE, ROOMY = 26, 20, 5
"""Height of a row, that of a row where there are more than so many."""
SHOWN = 6
TICKS = 7
"""Numbers on the axis of a chart of half the page's width, about."""
THOUSAND = 1000.0
BEYOND = 1.25
"""Where RWL 0 stands, times the highest index: its edge of the chart."""
TITLE_LETTERS, WIDER = 46, 52
BAR = "#b9b4a8"


def _title(key: str, **blanks: Any) -> str:
    return say(f"brief.chart.{key}", **blanks)


def cash_flow(money: Any, *, width: int = WIDTH) -> Any:
    """Flow of each year as bars, cumulated as a line, the payback with its 80 % interval on the zero line.

    Parameters
    ----------
    money : Decision
        The purchase.
    width : int
        Of the frame. [px]
    """
    import altair as alt

    rows = [
        {"year": y.year, "flow": y.total / THOUSAND, "cumulative": y.cumulative / THOUSAND} for y in money.cash_flow
    ]
    spread, last = money.payback_spread, float(money.years)
    back = math.isfinite(money.payback_years)
    words = {
        "value": payback_value(money.payback_years, spread),
        "interval": payback_interval(spread),
        "years": money.years,
    }
    title = _title("back" if back else "not_back", **words)
    title = _title("if_allowed", title=title) if money.needs else title
    x = alt.X(
        "year:Q",
        title=_title("year"),
        scale=alt.Scale(domain=[-0.6, last + 0.6], nice=False),
        axis=alt.Axis(tickMinStep=1),
    )
    y_title = _title("thousand", currency=money.currency)
    base = alt.Chart(alt.Data(values=rows))
    size = min(BROADEST, width / (2 * last + 2))
    bars = base.mark_bar(size=size, color=BAR).encode(x=x, y=alt.Y("flow:Q", title=y_title))
    line = base.mark_line(color=INK, strokeWidth=2, point={"color": INK, "size": 24}).encode(
        x=x, y=alt.Y("cumulative:Q")
    )
    end = base.transform_filter(f"datum.year == {money.years}").mark_text(
        align="right", dy=-12, text=_title("cumulated")
    )
    layers = [bars, line, end.encode(x=x, y=alt.Y("cumulative:Q"))]
    zero = alt.Chart(alt.Data(values=[{"y": 0}])).mark_rule(color=MUTED).encode(y=alt.Y("y:Q"))
    layers.insert(0, zero)
    if math.isfinite(spread.low) and spread.low <= last:
        ends = [{"low": spread.low, "high": min(spread.high, last), "at": min(money.payback_years, last), "y": 0}]
        band = alt.Chart(alt.Data(values=ends))
        layers.append(
            band.mark_rule(color=CANDIDATE, strokeWidth=7, opacity=0.55).encode(
                x=alt.X("low:Q"), x2=alt.X2("high"), y=alt.Y("y:Q")
            )
        )
        if back:
            layers.append(
                band.mark_point(color=CANDIDATE, fill=PAPER, size=70, strokeWidth=2).encode(
                    x=alt.X("at:Q"), y=alt.Y("y:Q")
                )
            )
    height = HALF_HEIGHT if width == HALF else HEIGHT
    alternative = _flow_words(money, title)
    return alt.layer(*layers).properties(
        width=width, height=height, title=_fitted(title, width), description=alternative
    )


def _fitted(words: str, width: int, letters: int = WIDER) -> Any:
    """A title; in a chart of half the page's width in lines of at most so many letters."""
    return wrap(words, letters) if width == HALF else words


def _flow_words(money: Any, title: str) -> str:
    ends = [money.cash_flow[0], money.cash_flow[-1]]
    said = [
        _title("flow_words", year=y.year, total=number(y.total, -3), cumulative=number(y.cumulative, -3)) for y in ends
    ]
    return " ".join([f"{title}.", *said])


def drivers(money: Any, *, width: int = WIDTH) -> Any:
    """What moves the net present value most: each input from its low to its high, the others at their means.

    Parameters
    ----------
    money : Decision
        The purchase.
    width : int
        Of the chart; in one of half the page's width the inputs are named above their bars. [px]
    """
    import altair as alt

    top = sorted(money.drivers, key=lambda d: -abs(d.at_high - d.at_low))[:SHOWN]
    rows = [
        {
            "what": input_name(d.name),
            "low": min(d.at_low, d.at_high) / THOUSAND,
            "high": max(d.at_low, d.at_high) / THOUSAND,
            "at_low": d.at_low / THOUSAND,
            "at_high": d.at_high / THOUSAND,
        }
        for d in top
    ]
    title = _title("drivers", what=rows[0]["what"]) if rows else _title("no_drivers")
    half = width == HALF
    above = {"labelAlign": "left", "labelOffset": -LIFTED, "labelPadding": 0, "labelLimit": HALF}
    names = alt.Axis(domain=False, ticks=False, **(above if half else {"labelLimit": BESIDE}))
    y = alt.Y("what:N", sort=None, title=None, axis=names)
    told = [_title("npv_thousand", currency=money.currency), _title("marks")]
    x = alt.X("low:Q", title=told, axis=alt.Axis(titleAnchor="end"))  # so it fits beside long names on a narrow screen
    base = alt.Chart(alt.Data(values=rows)).encode(y=y)
    bars = base.mark_bar(color=BAR, height=11).encode(x=x, x2=alt.X2("high"))
    lows = base.mark_point(color=MUTED, fill=PAPER, size=40).encode(x=alt.X("at_low:Q"))
    highs = base.mark_point(color=INK, filled=True, size=40).encode(x=alt.X("at_high:Q"))
    zero = alt.Chart(alt.Data(values=[{"x": 0}])).mark_rule(color=MUTED).encode(x=alt.X("x:Q"))
    words = "; ".join(f"{r['what']}: {number(r['at_low'])} … {number(r['at_high'])}" for r in rows)
    frame = {"width": width - 200, "height": 24 * max(1, len(rows))}
    frame = {"width": width + AXIS, "height": HALF_HEIGHT} if half else frame
    return alt.layer(zero, bars, lows, highs).properties(
        **frame, title=_fitted(title, width), description=f"{title}. {words}"
    )


def _methods(compared: tuple[str, str], **encoding: Any) -> dict[str, Any]:
    import altair as alt

    return {
        "color": alt.Color("method:N", scale=alt.Scale(domain=list(compared), range=[BASELINE, CANDIDATE]), **encoding),
        "shape": alt.Shape("method:N", scale=alt.Scale(domain=list(compared), range=["circle", "diamond"]), **encoding),
    }


def _pairs(
    rows: list[dict[str, Any]], compared: tuple[str, str], axis: str, title: str, words: str, *, mark: float = 0.0
) -> Any:
    """One row a pattern, both methods as points with their intervals, a rule at a limit, a cross where `beyond`."""
    import altair as alt

    y = alt.Y("pattern:N", title=None, sort=None, axis=alt.Axis(domain=False, ticks=False))
    offset = alt.YOffset("method:N", sort=list(compared))
    base = alt.Chart(alt.Data(values=rows)).encode(y=y, yOffset=offset)
    legend = {"legend": alt.Legend(orient="top", title=None)}
    rules = base.mark_rule(strokeWidth=2, opacity=0.6).encode(
        x=alt.X("low:Q", title=axis, scale=alt.Scale(zero=True), axis=alt.Axis(labelFlush=False, tickCount=TICKS)),
        x2=alt.X2("high"),
        color=_methods(compared, **legend)["color"],
    )
    known = base.transform_filter("!datum.beyond")
    points = known.mark_point(filled=True, size=60, opacity=1).encode(
        x=alt.X("value:Q"), **_methods(compared, **legend)
    )
    label = {"align": "left", "dx": 8, "fontSize": 11}
    halo = base.mark_text(**label, stroke=PAPER, strokeWidth=4).encode(x=alt.X("high:Q"), text=alt.Text("label:N"))
    texts = base.mark_text(**label).encode(x=alt.X("high:Q"), text=alt.Text("label:N"))
    layers = [rules, halo, points, texts]
    if any(row.get("beyond") for row in rows):
        cross = base.transform_filter("datum.beyond").mark_point(
            shape="cross", angle=45, filled=True, size=90, opacity=1
        )
        layers.append(cross.encode(x=alt.X("value:Q"), color=_methods(compared, **legend)["color"]))
    if mark:
        layers.insert(0, alt.Chart(alt.Data(values=[{"x": mark}])).mark_rule(strokeDash=[3, 3]).encode(x=alt.X("x:Q")))
    count = len({row["pattern"] for row in rows})
    height = (ROW if count <= ROOMY else CLOSE) * max(1, count)
    return alt.layer(*layers).properties(
        width=HALF, height=height, title={"text": wrap(title, TITLE_LETTERS)}, description=words
    )


def mold_cycles(case: Any, cycles: Iterable[Any]) -> Any:
    """Mold cycle of each pattern under both methods with its 95 % interval."""
    compared, order = (case.baseline, case.candidate), [pattern.pattern for pattern in case.patterns]
    rows = [
        {"pattern": c.pattern, "method": c.method, "value": c.mean_s, "low": c.low_s, "high": c.high_s}
        | {"label": borne(c.mean_s, c.low_s, c.high_s, most=1)}
        for c in sorted(cycles, key=lambda row: order.index(row.pattern))
        if c.method in compared
    ]
    by_pattern: dict[str, dict[str, float]] = {}
    for row in rows:
        by_pattern.setdefault(row["pattern"], {})[row["method"]] = row["value"]
    gains = {p: v[compared[0]] - v[compared[1]] for p, v in by_pattern.items() if len(v) == len(compared)}
    best = max(gains, key=lambda pattern: gains[pattern]) if gains else ""
    title = _title("cycles", pattern=best, saved=number(gains[best])) if gains else _title("cycles_none")
    words = "; ".join(f"{r['pattern']} {r['method']} {r['label']} s" for r in rows)
    return _pairs(rows, compared, _title("seconds"), title, f"{title}. {words}")


def _names(patterns: list[str]) -> str:
    """Names of patterns in a title: all of a few, three and a count of many."""
    return listed(patterns) if len(patterns) <= NAMED else short(patterns)


def _index_title(screened: Iterable[Any], method: str, above: list[dict[str, Any]]) -> str:
    """What lies above 1 under the current method, and what may not be lifted at all."""
    names = _names([r["pattern"] for r in above])
    title = _title("index_above", method=method, patterns=names) if above else _title("index_below", method=method)
    zero = dict.fromkeys(row.pattern for row in screened if row.method == method and row.governing == math.inf)
    return _title("index_zero", title=title, patterns=_names([*zero])) if zero else title


def _with_zero(rows: list[dict[str, Any]], screened: Iterable[Any], case: Any) -> list[dict[str, Any]]:
    """Rows with those of the patterns in which nothing may be lifted, at the edge in the place of any index."""
    order = [pattern.pattern for pattern in case.patterns]
    compared = (case.baseline, case.candidate)
    zero = {(r.pattern, r.method) for r in screened if r.governing == math.inf and r.method in compared}
    edge = BEYOND * max((row["value"] for row in rows), default=1.0)
    left = [row for row in rows if (row["pattern"], row["method"]) not in zero]
    for pattern, method in zero:
        at = {"value": edge, "low": edge, "high": edge, "label": _title("zero"), "beyond": True}
        left.append({"pattern": pattern, "method": method} | at)
    return sorted(left, key=lambda row: (order.index(row["pattern"]), compared.index(row["method"])))


def worst_indices(case: Any, screened: Iterable[Any], shown: Container[str] | None = None) -> Any:
    """Highest lifting index of each pattern, of a task or of the whole job, under both methods, against 1.

    `shown` are the patterns that are drawn, all where left out; the title is that of all.

    Parameters
    ----------
    case : Case
        Its patterns and the two methods compared.
    screened : iterable of ScreenedTask or ScreenedJob
        Lifting results of all patterns and methods.
    shown : container of str, optional
        Patterns drawn; all if left out. The title is that of all.
    """
    compared, screened, rows = (case.baseline, case.candidate), tuple(screened), []
    by_method = {m: worst_index([row for row in screened if row.method == m], "pattern") for m in compared}
    for pattern in (pattern.pattern for pattern in case.patterns):
        for method in compared:
            if pattern in by_method[method]:
                li, at_least = by_method[method][pattern]
                label = index_text(li, ("at_least",) if at_least else ())
                rows.append({"pattern": pattern, "method": method, "value": li, "low": li, "high": li, "label": label})
    rows = _with_zero(rows, screened, case)
    above = [r for r in rows if r["value"] > 1 and r["method"] == compared[0] and not r.get("beyond")]
    title = _index_title(screened, compared[0], above)
    rows = [row for row in rows if shown is None or row["pattern"] in shown]
    words = "; ".join(f"{r['pattern']} {r['method']} {r['label']}" for r in rows)
    return _pairs(rows, compared, _title("index"), title, f"{title}. {words}", mark=1.0)
