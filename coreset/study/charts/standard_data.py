"""Chart of standard data: an element's time over what it follows, with its line and the band of prediction."""

from __future__ import annotations

import altair as alt
import numpy as np

from coreset.case import Case
from coreset.report.look import BASELINE, CANDIDATE, DASH
from coreset.report.numbers import number
from coreset.study.estimate import MethodData
from coreset.study.report.sentences import capital
from coreset.study.report.standard_data import driver_name, element_name, followed, unit_of
from coreset.study.standard_data import VariableElement
from coreset.text import say

GRID = 25
ROOM = 0.12
"""Length of the axis beyond the last point, for its name."""


def standard_data(one: MethodData, e: VariableElement, case: Case) -> alt.LayerChart:
    """Points of the timed patterns, line and band over the first driver, further ones at their means.

    Parameters
    ----------
    one : MethodData
        Data of a method.
    e : VariableElement
        One of its elements.
    case : Case
        Units, and which method is the current one.
    """
    names = e.fitted.drives
    first = names[0] if names else next(iter(e.drives))
    x = e.drives[first]
    color = BASELINE if one.method == case.baseline else CANDIDATE
    dash = DASH["baseline" if one.method == case.baseline else "candidate"]
    bands = []
    for at in np.linspace(float(x.min()), float(x.max()), GRID):
        middle, low, high = e.fitted.predict([at if n == first else float(e.drives[n].mean()) for n in names])
        bands.append({"x": float(at), "middle": middle, "low": max(low, 0.0), "high": high})
    points = [
        {"x": float(a), "seconds": float(b), "pattern": p} for a, b, p in zip(x, e.seconds, one.patterns, strict=True)
    ]
    reach = float(np.ptp(x)) * ROOM
    axis = alt.X("x:Q", title=driver_name(first, case), axis=alt.Axis(tickMinStep=1 if first == "cores" else 0),
                 scale=alt.Scale(domain=[float(x.min()) - reach / 3, float(x.max()) + reach], nice=False))  # fmt: skip
    title = say("study.chart.standards_axis")
    base, dots = alt.Chart(alt.Data(values=bands)), alt.Chart(alt.Data(values=points))
    layers = [
        base.mark_area(opacity=0.12, color=color).encode(x=axis, y=alt.Y("low:Q", title=title), y2=alt.Y2("high:Q")),
        base.mark_line(strokeWidth=2, color=color, strokeDash=dash).encode(x=axis, y=alt.Y("middle:Q", title=title)),
        dots.mark_point(filled=True, size=80, opacity=1, color=color).encode(x=axis, y=alt.Y("seconds:Q")),
        dots.mark_text(align="left", dx=8, dy=-9, color=color).encode(
            x=axis, y=alt.Y("seconds:Q"), text=alt.Text("pattern:N")
        ),
    ]
    name = capital(element_name(e))
    finding = say("study.data.finding_constant", element=name)
    if names:
        unit = unit_of(first, case) or say("study.data.unit_cores")
        finding = say("study.data.finding", element=name, slope=number(e.fitted.coefficients[1], 1), unit=unit)
    return alt.layer(*layers).properties(
        title=finding,
        description=say("study.data.text", element=element_name(e), method=one.method,
                        driver=driver_name(followed(e) if names else first, case)),
    )  # fmt: skip
