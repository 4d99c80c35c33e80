"""One look for every chart: paper and ink, two hues for the two methods, each with a second sign; light and dark.

Charts name these colours outright, or none at all, drawn for the light
page; where the page is dark its style sheet puts the colours of `DARK` in their place.
"""

from __future__ import annotations

from collections.abc import Mapping
from textwrap import wrap
from typing import Any

from coreset.report.numbers import in_style
from coreset.text import say

INK = "#22262a"
MUTED = "#646a70"
RULE = "#d5d9d1"
PAPER = "#fafbf9"
ACCENT = "#4f5b1d"
BASELINE = "#316fa4"
"""The current method: blue, full line, filled mark."""
CANDIDATE = "#b35614"
"""The method weighed against it: orange, broken line, hollow mark."""
DASH = {"baseline": [1, 0], "candidate": [6, 3]}
GOOD, BAD = "#2f7f78", "#a8456b"
"""Gain and loss, beside a sign or a word: teal and plum, which colour-blind readers can tell apart."""
STEPS = ["#eef3f7", "#b9d0e3", "#7aa7cc", "#3a7ab0", "#1d4a75"]
"""One hue by lightness, for heat maps: light is little."""
ON_BAR = "#ffffff"
"""Words that stand on a bar of a method."""
DARK = {
    INK: "#ece9e2",
    MUTED: "#a9adb1",
    RULE: "#44484c",
    PAPER: "#17191b",
    ACCENT: "#c5d184",
    BASELINE: "#68a3d4",
    CANDIDATE: "#e0803a",
    STEPS[4]: "#3f76ad",
    GOOD: "#3f958d",
    BAD: "#c2628a",
    ON_BAR: "#101214",
}
"""What each colour of the light page becomes on the dark one."""
FONT = "Source Sans Pro, Source Sans, sans-serif"
FONT_SIZE, TITLE_SIZE = 13, 15
WIDTH, HEIGHT = 640, 280


MOST_PATTERNS = 24
"""Patterns in a chart of all of them; the table behind it has more."""


def some(title: str, shown: int, every: int) -> Any:
    """A title; where a chart shows some of what there is, with a line that says how many.

    Parameters
    ----------
    title : str
        The finding.
    shown, every : int
        How many are drawn, of how many.
    """
    if shown >= every:
        return title
    return {"text": title, "subtitle": say("charts.some", shown=shown, all=every)}


def told_twice(field: str, kinds: Mapping[str, tuple[str, str]], **how: Any) -> dict[str, Any]:
    """Encodings of bars whose kinds differ by outline and by filling, so that they differ in gray too.

    Parameters
    ----------
    field : str
        Field with its type, which holds the kind.
    kinds : mapping
        Color of the outline and of the filling of each kind, in their order; an open bar is filled with paper.
    **how
        Title, order and legend; no legend where left out.
    """
    import altair as alt  # not with the look, which pages read before anything is drawn

    colors, fillings = (list(of) for of in zip(*kinds.values(), strict=True))
    how = {"legend": None} | how
    return {
        "fill": alt.Fill(field, scale=alt.Scale(domain=list(kinds), range=fillings), **how),
        "stroke": alt.Stroke(field, scale=alt.Scale(domain=list(kinds), range=colors), **how),
    }


def config() -> dict[str, Any]:
    """The theme as a configuration of the chart grammar: no frame, few rules, words in ink."""
    words = {"labelColor": MUTED, "titleColor": INK, "labelFontSize": FONT_SIZE, "titleFontSize": FONT_SIZE}
    axis = words | {
        "titleFontWeight": "normal",
        "domainColor": MUTED,
        "tickColor": MUTED,
        "tickSize": 4,
        "grid": False,
        "gridColor": RULE,
        "labelPadding": 4,
        "titlePadding": 8,
    }
    title = {"anchor": "start", "fontSize": TITLE_SIZE, "fontWeight": 600, "color": INK, "offset": 12}
    return {
        "background": None,
        "font": FONT,
        "view": {"stroke": None, "continuousWidth": WIDTH, "continuousHeight": HEIGHT},
        "axis": axis,
        "legend": words | {"titleFontWeight": "normal"},
        "header": words | {"titleFontWeight": "normal"},
        "title": title | {"subtitleColor": MUTED, "subtitleFontSize": FONT_SIZE, "subtitlePadding": 4},
        "text": {"color": INK, "fontSize": FONT_SIZE},
        "rule": {"color": MUTED},
        "range": {
            "category": [BASELINE, CANDIDATE, GOOD, BAD, "#7a6fb0", "#8f8a3a"],
            "heatmap": STEPS,
            "ramp": STEPS,
        },
    }


BROKEN = "split(datum.label, '\\n')"
"""As the expression of an axis' labels: a name from `broken` stands in several lines, and is not cut."""


def broken(name: str, letters: int = 26) -> str:
    """A long name of a row in lines of at most that many letters.

    Examples
    --------
    >>> broken("mask loaded a cycle ahead, with a second mask").split(chr(10))
    ['mask loaded a cycle ahead,', 'with a second mask']
    """
    return "\n".join(wrap(name, letters))


COMMA = {"decimal": ",", "thousands": "\N{NO-BREAK SPACE}", "grouping": [3], "currency": ["", ""]}
"""Numbers that the chart grammar writes itself, with a decimal comma."""
NOT_WORDS = {"$schema", "format", "labelExpr", "expr", "calculate", "filter", "test", "field", "signal"}
"""Keys whose text is no text to read."""


def dressed(chart: Any, *, decimal: str = "point") -> dict[str, Any]:
    """A finished chart as a specification in our look.

    Parameters
    ----------
    chart : altair chart
        From a function of a room's `charts`.
    decimal : str
        How numbers are written: point, comma or us.

    Returns
    -------
    dict
        Specification with the look as its configuration; what the chart configured itself stands.
    """
    spec = chart.to_dict(validate=False)  # tests hold every chart to the schema; each rerun would pay for it
    own = spec.pop("config", {})
    own.get("view", {}).pop("continuousWidth", None)
    own.get("view", {}).pop("continuousHeight", None)
    spec["config"] = _merged(config(), own)
    if decimal != "point":
        spec = _in_words(spec, decimal)
    if decimal == "comma":
        spec["config"]["locale"] = {"number": COMMA}
    return spec


def _in_words(part: Any, decimal: str) -> Any:
    """A part of a specification with the decimal sign in all that is read."""
    if isinstance(part, dict):
        return {name: one if name in NOT_WORDS else _in_words(one, decimal) for name, one in part.items()}
    if isinstance(part, list):
        return [_in_words(one, decimal) for one in part]
    return in_style(part, decimal) if isinstance(part, str) else part


def _merged(ours: dict[str, Any], own: dict[str, Any]) -> dict[str, Any]:
    found = dict(ours)
    for name, value in own.items():
        both = isinstance(value, dict) and isinstance(found.get(name), dict)
        found[name] = _merged(found[name], value) if both else value
    return found
