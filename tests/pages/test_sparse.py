"""Cases that hold little: what a page says and draws is true, and says what is missing."""

import json
import re
from dataclasses import replace

import pytest
from streamlit.testing.v1 import AppTest

from coreset.assess import assess
from coreset.brief.case_status import empty_case
from coreset.store.book import Book
from coreset.store.folder import read
from coreset.web import navigation, shelf

APP = navigation.FOLDER / "app.py"
TIMEOUT_S = 120
PAGES = [name for name in navigation.ORDER if name not in ("facts", "compare", "portfolio", "sources", "guide")]
UNTRUE = re.compile(r"\b(0 of 0|nan|inf|None|[aA]ll 0)\b")
"""What is said of nothing, or of what could not be calculated."""


def timed(case, *methods):
    """The case with the studies of these methods only."""
    return replace(case, studies=tuple(study for study in case.studies if study.method in methods))


def first_pattern(case):
    """The case with its first pattern only."""
    own = case.patterns[0].pattern
    rows = {
        name: tuple(row for row in getattr(case, name) if row.pattern == own) for name in ("cores", "lifts", "studies")
    }
    return replace(case, patterns=case.patterns[:1], **rows)


SMALL = read(shelf.demo_folder().parent / "tamarack_flat")
SPARSE = {
    "empty": empty_case("empty"),
    "manual": timed(SMALL, SMALL.baseline),
    "core setter": timed(SMALL, SMALL.candidate),
    "one pattern": first_pattern(SMALL),
    "one pattern by hand": first_pattern(timed(SMALL, SMALL.baseline)),
    "no readings": timed(SMALL),
    "no lifts": replace(SMALL, lifts=()),
}


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    """A book with all of them."""
    found = Book(f"sqlite:///{tmp_path_factory.mktemp('sparse') / 'book.sqlite'}")
    for name, case in SPARSE.items():
        found.keep(name, case, who="T1", why="test")
    yield found
    found.close()


def title_of(chart):
    """Title of a chart on a page, which stands above it."""
    return json.loads(chart.proto.spec).get("usermeta", {}).get("title", "")


FIRST = ("empty", "one pattern by hand")
"""The cases of every run; the others with `-m slow`."""


@pytest.mark.parametrize("name", [n if n in FIRST else pytest.param(n, marks=pytest.mark.slow) for n in SPARSE])
def test_nothing_untrue_is_said_of_a_case_that_holds_little(book, monkeypatch, name):
    """No page fails, counts nothing among nothing, or compares what was not timed both ways."""
    monkeypatch.setenv("CORESET_BOOK", book.url)
    app = AppTest.from_file(str(APP), default_timeout=TIMEOUT_S)
    app.session_state["case_id"] = name
    app.run()
    both = not {SMALL.baseline, SMALL.candidate} - {study.method for study in SPARSE[name].studies}
    for page in PAGES:
        app.switch_page(str(navigation.path_of(page))).run()
        assert not app.exception and not app.error, page
        assert len(app.title) == 1, page
        titles = [title_of(chart) for chart in app.get("vega_lite_chart")]
        said = [*titles, *(text.value for kind in ("markdown", "info", "caption") for text in getattr(app, kind))]
        assert not [text for text in said if UNTRUE.search(text)], page
        assert all(titles), page
        if not both:
            assert not [title for title in titles if "timed under both methods" in title and "none" not in title], page
            assert not [title for title in titles if "o pattern makes more" in title], page
            assert page not in ("payback", "brief") or (not titles and len(app.markdown[0].value) > 30), page


@pytest.mark.parametrize("name", ["manual", "core setter"])
def test_no_decision_without_a_pattern_timed_both_ways(name):
    """The method to be bought is not taken to be as fast as today, nor today's to be as fast as it: no money at all."""
    found = assess(SPARSE[name], resamples=200, draws=500, replications=20)
    assert found.money is None and found.pooled and found.line
    assert assess(SPARSE["one pattern"], resamples=200, draws=500, replications=20).money is not None
