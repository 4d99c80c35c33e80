"""Charts and tables of a large case: what matters most is drawn, and what is left out is told."""

from types import SimpleNamespace

import pytest
from streamlit.testing.v1 import AppTest

from coreset.lifting.charts import indices
from coreset.line.charts import stations
from coreset.report import look
from coreset.study.charts import standards
from coreset.text import say

MANY = 60
CASE = SimpleNamespace(
    baseline="manual", candidate="core setter", patterns=[SimpleNamespace(pattern=f"P{i:02}") for i in range(MANY)]
)


def each(values):
    """A row for each pattern and method; the second is faster by as many percent as the pattern's number."""
    for i in range(MANY):
        yield SimpleNamespace(pattern=f"P{i:02}", method="manual", **values(50.0))
        yield SimpleNamespace(pattern=f"P{i:02}", method="core setter", **values(50.0 * (1 - i / 100)))


def rate(seconds):
    """A rate of the line."""
    per_hour = 3600 / seconds
    return {"molds_per_h": per_hour, "low": per_hour - 1, "high": per_hour + 1}


def standard(seconds):
    """A standard time."""
    ends = {"standard_low_s": seconds - 1, "standard_high_s": seconds + 1}
    return {"standard_s": seconds, "estimated": False, **ends}


def drawn(chart):
    """Every row that a chart holds, and its line on how many there are."""
    spec = look.dressed(chart)
    rows = [row for data in spec.get("datasets", {}).values() for row in data] + list(_values(spec))
    return rows, spec["title"].get("subtitle", "") if isinstance(spec["title"], dict) else ""


def _values(layer):
    """Rows of a layer and of the layers in it."""
    data = layer.get("data")
    yield from data.get("values", []) if isinstance(data, dict) else []
    for inner in layer.get("layer", []):
        yield from _values(inner)


@pytest.mark.parametrize(
    "chart",
    [stations.rates(CASE, list(each(rate))), standards.overview(list(each(standard)), CASE)],
    ids=["rates", "standards"],
)
def test_of_many_patterns_those_that_differ_most_are_drawn(chart):
    """The 24 that gain most, and a line that says so."""
    rows, told = drawn(chart)
    assert {row["pattern"] for row in rows if "pattern" in row} == {f"P{i:02}" for i in range(MANY - 24, MANY)}
    assert told == say("charts.some", shown=look.MOST_PATTERNS, all=MANY)


def test_of_many_tasks_the_worst_are_drawn():
    """The 40 with the highest index; the title still counts all of them."""
    tasks = [
        {"label": f"T{i}", "method": "manual", "li": i / 20, "low": i / 20, "high": i / 20, "zero": False, "text": ""}
        for i in reversed(range(MANY))
    ]
    chart = indices.all_tasks(tasks, ("manual", "core setter"))
    rows, told = drawn(chart)
    assert {row["label"] for row in rows if "label" in row} == {f"T{i}" for i in range(MANY - 40, MANY)}
    assert told == say("charts.some", shown=40, all=MANY)
    above = sum(task["li"] > 1 for task in tasks)
    assert say("handling.chart.tasks", above=above, all=MANY) in str(chart.to_dict()["title"])


def test_few_are_all_drawn_and_nothing_is_told():
    """No line where nothing is left out."""
    few = [row for row in each(rate) if row.pattern < "P10"]
    rows, told = drawn(stations.rates(CASE, few))
    assert {row["pattern"] for row in rows if "pattern" in row} == {f"P{i:02}" for i in range(10)}
    assert told == ""


def long_table():
    """A page with a table of many rows."""
    from coreset.pages.parts import results

    results.rows([{"no": str(i)} for i in range(500)])


def test_a_long_table_shows_its_first_rows_and_says_so(tmp_path, monkeypatch):
    """120 of 500, with a word on where the others are."""
    monkeypatch.setenv("CORESET_BOOK", f"sqlite:///{tmp_path / 'book.sqlite'}")
    page = AppTest.from_function(long_table, default_timeout=60).run()
    assert not page.exception
    assert page.markdown[0].value.count("\n") == 121
    assert page.caption[0].value == say("front.rows_shown", shown=120, all="500")
