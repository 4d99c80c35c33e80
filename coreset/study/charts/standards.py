"""Charts of standards: both methods against each other, all patterns at a glance, elements of one standard."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from coreset.case import Case
from coreset.report.look import ACCENT, BASELINE, CANDIDATE, DASH, INK, MOST_PATTERNS, MUTED, PAPER, some, told_twice
from coreset.report.numbers import number, percent
from coreset.rounding import fixed
from coreset.study.method_pairs import Pair
from coreset.study.report.sentences import capital
from coreset.study.standard import Standard
from coreset.text import say

GRID = 160
ROW_STEP = 30


def _two(case: Case, kind: str) -> alt.Scale:
    ranges = {"color": [BASELINE, CANDIDATE], "dash": [DASH["baseline"], DASH["candidate"]],
              "shape": ["circle", "diamond"]}  # fmt: skip
    return alt.Scale(domain=[case.baseline, case.candidate], range=ranges[kind])


def _smooth(x: np.ndarray, at: np.ndarray) -> np.ndarray:
    """Density by normal kernels, width after the usual rule. [1/s]"""
    spread = min(x.std(ddof=1), np.subtract(*np.quantile(x, [0.75, 0.25])) / 1.34) or x.std(ddof=1) or 1.0
    width = 0.9 * spread * len(x) ** -0.2
    some = x if len(x) <= 2_000 else np.quantile(x, np.linspace(0, 1, 2_000))
    z = (at[:, None] - some[None, :]) / width
    return np.exp(-0.5 * z * z).sum(axis=1) / (len(some) * width * np.sqrt(2 * np.pi))


def densities(pair: Pair, case: Case) -> alt.VConcatChart:
    """Both methods' times over one axis, and below the difference of their means with its interval."""
    both = {case.baseline: pair.baseline_s, case.candidate: pair.candidate_s}
    everything = np.concatenate(list(both.values()))
    at = np.linspace(everything.min() * 0.9, everything.max() * 1.05, GRID)
    rows, means = [], []
    for method, x in both.items():
        y = _smooth(x, at)
        rows += [{"seconds": float(a), "y": float(b), "method": method} for a, b in zip(at, y, strict=True)]
        top = float(y.max())
        means.append(
            {"seconds": float(x.mean()), "y": top, "method": method, "name": f"{method} {fixed(x.mean(), 1)} s"}
        )
    d = pair.crew
    code = pair.verdict if pair.tries is None else "unclear"
    names = {"first": case.baseline, "second": case.candidate}
    x = alt.X("seconds:Q", title=say("study.chart.density_axis"))
    y = alt.Y("y:Q", axis=None)
    color = alt.Color("method:N", scale=_two(case, "color"), legend=None)
    base, top = alt.Chart(pd.DataFrame(rows)), alt.Chart(pd.DataFrame(means))
    upper = alt.layer(
        base.mark_area(opacity=0.18).encode(x=x, y=alt.Y("y:Q", axis=None, stack=None), color=color),
        base.mark_line(strokeWidth=2).encode(
            x=x, y=y, color=color, strokeDash=alt.StrokeDash("method:N", scale=_two(case, "dash"), legend=None)
        ),
        top.mark_rule(strokeWidth=1.5).encode(x=x, y=y, y2=alt.Y2Datum(0), color=color),
        top.mark_text(dy=-12, stroke=PAPER, strokeWidth=4, strokeJoin="round").encode(
            x=x, y=y, text=alt.Text("name:N")
        ),
        top.mark_text(dy=-12, fontWeight=600).encode(x=x, y=y, text=alt.Text("name:N"), color=color),
    ).properties(height=200)
    return alt.vconcat(upper, _difference(d, names), spacing=6).properties(
        title=say(f"study.chart.density_{code}", difference=fixed(abs(d.value), 1), **names),
        description=say("study.chart.density_text", first_mean=fixed(pair.baseline_s.mean(), 1),
                        second_mean=fixed(pair.candidate_s.mean(), 1), low=number(d.low, 1), high=number(d.high, 1),
                        **names),
    )  # fmt: skip


def _difference(d: Any, names: dict[str, str]) -> alt.LayerChart:
    row = [{"low": d.low, "high": d.high, "value": d.value, "name": f"{number(d.value, 1)} s"}]
    reach = max(abs(d.low), abs(d.high)) * 1.15
    x = alt.X("value:Q", title=say("study.chart.difference_axis", **names), scale=alt.Scale(domain=[-reach, reach]))
    base = alt.Chart(alt.Data(values=row))
    return alt.layer(
        alt.Chart(alt.Data(values=[{"zero": 0}])).mark_rule(color=MUTED, strokeDash=[2, 3]).encode(x=alt.X("zero:Q")),
        base.mark_rule(color=INK, strokeWidth=2).encode(
            x=alt.X("low:Q", scale=alt.Scale(domain=[-reach, reach])), x2=alt.X2("high:Q")
        ),
        base.mark_point(filled=True, size=90, color=INK, opacity=1).encode(x=x),
        base.mark_text(dy=-14, color=INK).encode(x=x, text=alt.Text("name:N")),
    ).properties(height=50)


def overview(rows: Iterable[Standard], case: Case) -> alt.LayerChart:
    """Standard time of each pattern and method with its interval; hollow where nobody timed it."""
    found = [row for row in rows if row.method in (case.baseline, case.candidate)]
    shown = _telling(found, case)
    table = [
        {"pattern": row.pattern, "method": row.method, "value": row.standard_s, "low": row.standard_low_s,
         "high": row.standard_high_s, "text": fixed(row.standard_s, 1), "estimated": row.estimated}
        for row in found if row.pattern in shown
    ]  # fmt: skip
    times = {(row.pattern, row.method): row.standard_s for row in found if not row.estimated}
    both = [p for p in dict.fromkeys(row.pattern for row in found)
            if {(p, case.baseline), (p, case.candidate)} <= set(times)]  # fmt: skip
    faster = sum(times[p, case.candidate] < times[p, case.baseline] for p in both)
    color = alt.Color("method:N", scale=_two(case, "color"), title=None, legend=alt.Legend(orient="top"))
    shape = alt.Shape("method:N", scale=_two(case, "shape"), title=None)
    base = alt.Chart(alt.Data(values=table)).encode(
        y=alt.Y("pattern:N", title=None, sort=[p.pattern for p in case.patterns]),
        yOffset=alt.YOffset("method:N", sort=[case.baseline, case.candidate]),
    )
    x = alt.X("value:Q", title=say("study.chart.standards_axis"), scale=alt.Scale(zero=True))
    layers = [
        base.mark_rule(strokeWidth=2).encode(x=alt.X("low:Q"), x2=alt.X2("high:Q"), color=color),
        base.transform_filter("!datum.estimated").mark_point(size=90, filled=True, opacity=1).encode(
            x=x, color=color, shape=shape
        ),
        base.transform_filter("datum.estimated").mark_point(size=90, filled=True, fill=PAPER, opacity=1).encode(
            x=x, stroke=color, shape=shape
        ),
        base.mark_text(align="left", dx=8).encode(x=alt.X("high:Q"), text=alt.Text("text:N"), color=color),
    ]  # fmt: skip
    said = {"second": case.candidate, "faster": faster, "both": len(both)}
    title = say("study.chart.standards", **said) if both else _one_way(found)
    return alt.layer(*layers).properties(
        height=alt.Step(ROW_STEP),
        title=some(title, len(shown), len({row.pattern for row in found})),
        description=say("study.chart.standards_text"),
    )


def _telling(found: Sequence[Standard], case: Case) -> set[str]:
    """Patterns to draw: all of them, or of many those whose methods differ most, share by share."""
    times: dict[str, dict[str, float]] = {}
    for row in found:
        times.setdefault(row.pattern, {})[row.method] = row.standard_s
    apart = {p: abs(t[case.candidate] / t[case.baseline] - 1) if len(t) > 1 else 0.0 for p, t in times.items()}
    return set(sorted(apart, key=lambda name: -apart[name])[:MOST_PATTERNS])


def _one_way(found: Sequence[Standard]) -> str:
    """Title where no pattern is timed under both methods: what there is, and that nothing can be compared."""
    least, most = min(found, key=lambda row: row.standard_s), max(found, key=lambda row: row.standard_s)
    said = {"pattern": most.pattern, "method": most.method, "value": fixed(most.standard_s, 1)}
    if least is most:
        return say("study.chart.standards_single", **said)
    return say("study.chart.standards_one_way", **said, least=least.pattern, least_s=fixed(least.standard_s, 1))


def elements(row: Standard) -> alt.LayerChart:
    """Elements of a standard in the order of the work, each with its interval; machine elements open."""
    table = [
        {"element": e.element, "kind": e.kind, "value": e.standard_s, "low": e.standard_low_s,
         "high": e.standard_high_s, "text": fixed(e.standard_s, 1)}
        for e in row.elements
    ]  # fmt: skip
    top = max(row.elements, key=lambda e: e.standard_s)
    order: Sequence[str] = [e.element for e in row.elements]
    base = alt.Chart(alt.Data(values=table)).encode(
        y=alt.Y("element:N", sort=list(order), title=None, axis=alt.Axis(labelLimit=240))
    )
    kinds = told_twice("kind:N", {"manual": (BASELINE, BASELINE), "machine": (MUTED, PAPER)})
    x = alt.X("value:Q", title=say("study.chart.elements_axis"))
    layers = [
        base.mark_bar(size=16, strokeWidth=1).encode(x=x, **kinds),
        base.mark_rule(color=ACCENT, strokeWidth=2).encode(x=alt.X("low:Q"), x2=alt.X2("high:Q")),
        base.mark_text(align="left", dx=6).encode(x=alt.X("high:Q"), text=alt.Text("text:N")),
    ]
    share = percent(top.standard_s / row.standard_s) if row.standard_s else "–"
    return alt.layer(*layers).properties(
        height=alt.Step(ROW_STEP),
        title=say("study.chart.elements", element=capital(top.element), share=share, total=fixed(row.standard_s, 1)),
        description=say("study.chart.elements_text", study=row.study or row.pattern),
    )
