"""The colours of charts, on light and dark paper, can be told from it."""

from itertools import pairwise

import pytest
from assessed import assessed
from test_line_words import closer

from coreset.line.charts import activity, stations
from coreset.money import charts as money_charts
from coreset.report import look
from coreset.study.charts import standards

LEAST_WORDS, LEAST_MARKS = 4.5, 3.0
"""Contrast of words, and of what a picture needs: W3C, Web Content Accessibility Guidelines 2.2, 1.4.3 and 1.4.11."""
WORDS = ("INK", "MUTED", "ACCENT", "BASELINE", "CANDIDATE")
MARKS = ("GOOD", "BAD")


def luminance(colour):
    """Relative luminance of #rrggbb. W3C, Web Content Accessibility Guidelines 2.2, definition of that name."""
    shares = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    """Contrast ratio of two colours. W3C, Web Content Accessibility Guidelines 2.2, definition of that name."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_the_published_ends():
    """Black on white is 21 to 1, a colour on itself 1 to 1, as the definition says."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#123456", "#123456") == 1


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("name", WORDS + MARKS)
def test_colours_stand_out_from_the_paper(name, dark):
    """Whatever words are written in has 4.5 to 1, whatever is only drawn 3 to 1."""
    colour, paper = getattr(look, name), look.PAPER
    if dark:
        colour, paper = look.DARK[colour], look.DARK[paper]
    assert contrast(colour, paper) >= (LEAST_WORDS if name in WORDS else LEAST_MARKS)


@pytest.mark.parametrize("bar", [look.BASELINE, look.CANDIDATE])
def test_words_on_a_bar_can_be_read(bar):
    """In light and in dark."""
    assert contrast(look.ON_BAR, bar) >= LEAST_WORDS
    assert contrast(look.DARK[look.ON_BAR], look.DARK[bar]) >= LEAST_WORDS


@pytest.mark.parametrize("bar", [look.BASELINE, look.CANDIDATE])
def test_words_on_a_paler_bar_can_be_read(bar):
    """Every other cycle of the multiple-activity chart, as its paper shows through."""
    for on, colour, paper in (
        (look.ON_BAR, bar, look.PAPER),
        (look.DARK[look.ON_BAR], look.DARK[bar], look.DARK[look.PAPER]),
    ):
        parts = zip(*([int(c[i : i + 2], 16) for i in (1, 3, 5)] for c in (colour, paper)), strict=True)
        seen = "#" + "".join(f"{round(activity.SHADE * a + (1 - activity.SHADE) * b):02x}" for a, b in parts)
        assert contrast(on, seen) >= LEAST_WORDS


def test_names_over_bars_stand_clear_of_what_marks_the_middle():
    """A name stands over its bar; the line through the bars is broken there, and ends below the name's letters."""
    layers = money_charts.tornado(assessed().money).to_dict()["layer"]
    marks = [layer["mark"] for layer in layers]
    [middle] = [mark for mark in marks if mark["type"] == "tick"]
    [name] = [mark for mark in marks if mark["type"] == "text" and mark.get("dy")]
    assert "rule" not in {mark["type"] for mark in marks}
    assert middle["size"] / 2 + look.FONT_SIZE / 2 <= abs(name["dy"])


LEAST_STEP = 10
"""Steps of CIE lightness by which bars that touch differ in gray; own choice: one is said to be the least seen."""
FILLED = {
    "payback": lambda: money_charts.payback_chance(assessed().money),
    "drivers": lambda: money_charts.tornado(assessed().money),
    "shares": lambda: stations.shares(closer()),
    "elements": lambda: standards.elements(assessed().standards[0]),
}


def lightness(colour):
    """CIE 1976 L* of a colour. ISO/CIE 11664-4, from memory."""
    return 116 * luminance(colour) ** (1 / 3) - 16


def fillings(spec):
    """Fillings of bars of several kinds, wherever they stand in a chart."""
    if isinstance(spec, dict):
        if {"fill", "stroke"} <= spec.keys() and isinstance(spec["fill"], dict) and "scale" in spec["fill"]:
            yield spec["fill"]["scale"]["range"]
        for part in spec.values():
            yield from fillings(part)
    elif isinstance(spec, list):
        for part in spec:
            yield from fillings(part)


@pytest.mark.parametrize("name", FILLED)
def test_bars_of_two_kinds_differ_without_colour(name):
    """Printed gray, a bar and the next kind of it are told apart by lightness; "never" has a place of its own."""
    [found] = fillings(look.dressed(FILLED[name]()))
    seen = [lightness(one) for one in found][: 2 if name == "payback" else None]
    assert all(abs(one - other) >= LEAST_STEP for one, other in pairwise(seen)), seen
