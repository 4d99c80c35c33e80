"""Every chart on every page has its figures behind it: in a fold below it, or as the table that follows it."""

import ast

import pytest
from assessed import assessed
from streamlit.testing.v1 import AppTest

from coreset.money.report import chart_tables
from coreset.pages.parts import written
from coreset.report.numbers import number, percent
from coreset.store.book import Book
from coreset.text import say
from coreset.web import navigation, shelf

APP = navigation.FOLDER / "app.py"
SIGNS = str.maketrans({"\N{NO-BREAK SPACE}": "", "\N{NARROW NO-BREAK SPACE}": "", "\N{MINUS SIGN}": "-"})

PAGES = ("cycles", "standard", "handling", "line", "payback", "brief")
CHART = "vega_lite_chart"


def beneath(block):
    """What stands in a block, in order."""
    return [block.children[key] for key in sorted(block.children)] if hasattr(block, "children") else []


def table(one):
    """Whether that is a table: they are sent as text."""
    return getattr(one, "type", "") == "markdown" and one.value.startswith("| ")


def bare(block, following=None):
    """Charts in a block without figures: no fold with a table next, nor a table; what follows the block counts."""
    found, inside = [], beneath(block)
    for place, one in enumerate(inside):
        after = inside[place + 1] if place + 1 < len(inside) else following
        if one.type == CHART:
            folded = getattr(after, "label", "") == say("front.figures") and any(map(table, beneath(after)))
            if not folded and not table(after):
                found.append(str(one.proto)[:300])
        found += bare(one, after)
    return found


def charts(block):
    """How many charts stand in a block."""
    return sum((one.type == CHART) + charts(one) for one in beneath(block))


@pytest.mark.parametrize("pages", [("payback",), pytest.param(PAGES, marks=pytest.mark.slow)], ids=["one", "all"])
def test_figures_stand_behind_each_chart(tmp_path, monkeypatch, pages):
    """No chart is the only place where its figures are."""
    address = f"sqlite:///{tmp_path / 'book.sqlite'}"
    monkeypatch.setenv("CORESET_BOOK", address)
    shelf.shelve(Book(address), shelf.demo_folder())
    app = AppTest.from_file(str(APP), default_timeout=90)
    app.session_state["who"] = "T1"  # the simulated browser has no cookie to tell it
    app.run()
    for page in pages:
        app.switch_page(str(navigation.path_of(page))).run()
        assert not app.exception, page
        assert charts(app.main) > 0, page
        assert bare(app.main) == [], page


def drawing(call):
    """Whether that call draws a chart."""
    return isinstance(call, ast.Call) and ast.unparse(call.func) in ("results.chart", "results.picture")


def lacking(body):
    """Lines that draw a chart without figures: no table given, none in the next statement."""
    for place, one in enumerate(body):
        for inner in ("body", "orelse", "finalbody"):
            yield from lacking(getattr(one, inner, []))
        call = getattr(one, "value", None)
        if isinstance(one, ast.Expr) and drawing(call):
            given = any(word.arg == "table" for word in call.keywords)
            given = given or (ast.unparse(call.func) == "results.chart" and len(call.args) > 1)
            after = ast.unparse(body[place + 1]) if place + 1 < len(body) else ""
            if not given and not after.startswith("results.rows("):
                yield one.lineno


def test_every_call_that_draws_gives_figures():
    """Also in tabs and folds that a first look does not open."""
    pages = {path.stem: ast.parse(path.read_text(encoding="utf-8")).body for path in APP.parent.rglob("*.py")}
    assert not {name: lines for name, body in pages.items() if (lines := list(lacking(body)))}


def test_figures_are_those_of_the_decision():
    """The first year's items add up to the year's flow, each year's chance is the curve's, each cell the grid's."""
    money = assessed().money
    *items, total = chart_tables.waterfall(money)
    held = [float(list(row.values())[1].translate(SIGNS)) for row in (*items, total)]
    assert sum(held[:-1]) == pytest.approx(held[-1], abs=len(items))
    *years, late = chart_tables.payback_chance(money)
    curve = dict(money.payback_curve)
    assert [(row[say("charts.column.year")], row[say("charts.column.chance_by_then")]) for row in years] == [
        (str(year), percent(curve[year])) for year in range(1, money.years + 1)
    ]
    assert late[say("charts.column.chance")] == percent(1 - curve[money.years])
    rows = chart_tables.run_length(money)
    assert sum(len(row) - 1 for row in rows) == len(money.grid.cells)


def test_no_line_breaks_within_a_number_of_a_table():
    """Thousands stay together as they are written (SI brochure, 5.4.4: a thin space, here one that does not break)."""
    text = written.table([{"saving": f"{number(3900)} to\n{number(13200)}"}]).text
    assert "3\N{NO-BREAK SPACE}900 to 13\N{NO-BREAK SPACE}200" in text
