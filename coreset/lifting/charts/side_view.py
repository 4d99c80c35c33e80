"""Side view of a lift, to scale: where the hands are at both ends, beside a standing figure and the method's limits."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil, cos, radians, sin
from typing import Any

import altair as alt

from coreset.case import UNIT_SETS
from coreset.lifting.constants import constants
from coreset.report.look import BASELINE, CANDIDATE, INK, MUTED
from coreset.rounding import fixed
from coreset.text import say

STATURE = {"metric": 172.0, "us": 68.0}
"""Height of the figure drawn, for the eye only; no result depends on it."""
PIXELS_HIGH, PLACES_HIGH = 280, 440
PLACES_BESIDE, PLACES_BELOW = 3, 1.6
"""Kinds of place in a row, for their names to stand clear on a telephone; from row to row in statures."""
BEHIND, BEYOND, BESIDE = 0.26, 0.52, 0.24
"""Room behind the ankles, before them, and for the words beside the load, in statures."""
APART = 0.8
"""From one figure to the next where several kinds of place are drawn, in statures."""
ANKLE, KNEE, HIP, SHOULDER, HEAD = 0.04, 0.28, 0.53, 0.82, 0.93


def _figure(stature: float, hands: tuple[float, float]) -> list[dict[str, float]]:
    """A standing figure whose trunk leans as far as the arms need, as a line from the ankles to the hands."""
    reach, height = hands
    arm = 0.44 * stature
    hip = (-0.04 * stature, HIP * stature)
    trunk = (SHOULDER - HIP) * stature
    shoulder = (0.0, 0.0)
    for lean_deg in range(0, 95, 5):
        lean = radians(lean_deg)
        shoulder = (hip[0] + trunk * sin(lean), hip[1] + trunk * cos(lean))
        if ((shoulder[0] - reach) ** 2 + (shoulder[1] - height) ** 2) ** 0.5 <= arm:
            break
    points = [(0.0, ANKLE * stature), (0.02 * stature, KNEE * stature), hip, shoulder, (reach, height)]
    return [{"x": x, "y": y, "order": place} for place, (x, y) in enumerate(points)]


def _panel(name: str, units: str, *, reach: float, height: float, first: bool) -> alt.LayerChart:
    c, stature, unit = constants(units), STATURE[units], UNIT_SETS[units]["length"]
    top = 1.08 * c.vertical_limit
    left, right = -BEHIND * stature, max(BEYOND * stature, reach + BESIDE * stature)
    pixels, color = PIXELS_HIGH / top, BASELINE if first else CANDIDATE
    sx = alt.Scale(domain=[left, right], nice=False)
    sy = alt.Scale(domain=[0, top], nice=False)
    x = alt.X("x:Q", scale=sx, title=say("handling.side.horizontal", unit=unit), axis=alt.Axis(tickCount=4))
    upright = alt.Axis() if first else alt.Axis(labels=False, ticks=False, title=None)
    title = say("handling.side.vertical", unit=unit) if first else None
    y = alt.Y("y:Q", scale=sy, title=title, axis=upright)
    body = alt.Chart(alt.Data(values=_figure(stature, (reach, height)))).mark_line(
        color=INK, strokeWidth=7, strokeCap="round", strokeJoin="round", opacity=0.85
    )
    shoulder = _figure(stature, (reach, height))[3]
    head = alt.Chart(
        alt.Data(values=[{"x": shoulder["x"] + 0.02 * stature, "y": shoulder["y"] + 0.11 * stature}])
    ).mark_point(filled=True, size=420, color=INK, opacity=0.85)
    load = alt.Chart(alt.Data(values=[{"x": reach, "y": height}])).mark_square(size=420, color=color, opacity=0.95)
    limits = alt.Chart(alt.Data(values=[{"x": c.horizontal_free}, {"x": c.horizontal_limit}])).mark_rule(
        strokeDash=[3, 3], color=MUTED
    )
    heights = alt.Chart(alt.Data(values=[{"y": c.vertical_reference}, {"y": c.vertical_limit}])).mark_rule(
        strokeDash=[3, 3], color=MUTED
    )
    words = alt.Chart(
        alt.Data(values=[{"x": reach, "y": height, "text": [f"H {fixed(reach)}", f"V {fixed(height)}"]}])
    ).mark_text(align="left", dx=16, dy=-8 if height < c.vertical_reference else 10, fontWeight="bold")
    named = [
        {"x": left, "y": c.vertical_limit, "text": say("handling.side.highest")},
        {"x": left, "y": c.vertical_reference, "text": say("handling.side.reference")},
    ]
    names = alt.Chart(alt.Data(values=named)).mark_text(align="left", dx=4, dy=-7, color=MUTED, fontSize=11)
    farthest = alt.Chart(
        alt.Data(values=[{"x": c.horizontal_limit, "y": 0.0, "text": say("handling.side.farthest")}])
    ).mark_text(align="right", dx=-4, dy=-7, color=MUTED, fontSize=11)
    return alt.layer(
        limits.encode(x=x),
        heights.encode(y=y),
        body.encode(x=x, y=y, order=alt.Order("order:Q")),
        head.encode(x=x, y=y),
        load.encode(x=x, y=y),
        names.encode(x=x, y=y, text=alt.Text("text:N")),
        farthest.encode(x=x, y=y, text=alt.Text("text:N")),
        words.encode(x=x, y=y, text=alt.Text("text:N")),
    ).properties(width=pixels * (right - left), height=PIXELS_HIGH, title=say(f"handling.end.{name}").capitalize())


def places_view(places: Mapping[str, tuple[float, float]], units: str) -> Any:
    """Kinds of place side by side on one scale, each with a figure whose hands are where they usually are there.

    Parameters
    ----------
    places : mapping
        H and V of each kind of place by its name, in the unit set.
    units : {"metric", "us"}
        Unit set.
    """
    stature, unit = STATURE[units], UNIT_SETS[units]["length"]
    lines, heads = [], []
    loads: list[dict[str, Any]] = []
    for place, (name, hands) in enumerate(places.items()):
        row, at = divmod(place, PLACES_BESIDE)
        shift, floor, figure = at * APART * stature, -row * PLACES_BELOW * stature, _figure(stature, hands)
        lines += [{**point, "x": point["x"] + shift, "y": point["y"] + floor, "name": name} for point in figure]
        heads.append({"x": figure[3]["x"] + 0.02 * stature + shift, "y": figure[3]["y"] + 0.11 * stature + floor})
        where = say("handling.one.place_at", reach=fixed(hands[0]), height=fixed(hands[1]), unit=unit)
        said = [*name.split(", "), *where.split(", ")]
        under = {"left": shift - BEHIND * stature, "under": floor - 0.03 * stature}
        loads.append({"x": hands[0] + shift, "y": hands[1] + floor, **under, "text": said})
    right, rows = PLACES_BESIDE * APART * stature, ceil(len(places) / PLACES_BESIDE)
    x = alt.X("x:Q", scale=alt.Scale(domain=[-BEHIND * stature, right - BEHIND * stature], nice=False), axis=None)
    y = alt.Y(
        "y:Q", scale=alt.Scale(domain=[(1.05 - rows * PLACES_BELOW) * stature, 1.05 * stature], nice=False), axis=None
    )
    body = alt.Chart(alt.Data(values=lines)).mark_line(color=INK, strokeWidth=5, strokeCap="round", opacity=0.85)
    words = alt.Chart(alt.Data(values=loads)).mark_text(align="left", baseline="top", lineHeight=15)
    text = say("handling.one.places_text", places="; ".join(" ".join(load["text"]) for load in loads))
    return alt.layer(
        body.encode(x=x, y=y, order=alt.Order("order:Q"), detail=alt.Detail("name:N")),
        alt.Chart(alt.Data(values=heads)).mark_point(filled=True, size=200, color=INK, opacity=0.85).encode(x=x, y=y),
        alt.Chart(alt.Data(values=loads)).mark_square(size=200, color=BASELINE, opacity=0.95).encode(x=x, y=y),
        words.encode(x=alt.X("left:Q", axis=None), y=alt.Y("under:Q", axis=None), text=alt.Text("text:N")),
    ).properties(height=PLACES_HIGH, title=say("handling.one.places"), description=text)


def side_view(values: dict[str, float], units: str) -> Any:
    """Both ends of a lift side by side, both axes on one scale.

    Parameters
    ----------
    values : mapping
        `horizontal_origin`, `vertical_origin`, `horizontal_destination`, `vertical_destination`, in the unit set.
    units : {"metric", "us"}
        Unit set.
    """
    panels = [
        _panel(end, units, reach=values[f"horizontal_{end}"], height=values[f"vertical_{end}"], first=end == "origin")
        for end in ("origin", "destination")
    ]
    text = say(
        "handling.side.text",
        unit=UNIT_SETS[units]["length"],
        **{name: fixed(value) for name, value in values.items() if name.startswith(("horizontal", "vertical"))},
    )
    return alt.hconcat(*panels, spacing=16).properties(title=say("handling.side.title"), description=text)
