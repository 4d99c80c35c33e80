"""Payback and Audit: the answer first, then picture, tables and working; an empty case says what to do."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from brief_case import Given
from plant import around, parts, plant

from coreset.case import Actual
from coreset.money.evaluate import weigh
from coreset.money.promise import promise_rows
from coreset.text import say
from coreset.web import navigation

NO_MORE = {"warnings": (), "handling": (), "jobs": (), "pooled": {}, "standards": (), "effects": {}, "line": None}
"""Rooms of an assessment other than money, empty."""


@pytest.fixture(scope="module")
def decided():
    """The invented plant, weighed."""
    case, *others = parts()
    return Given(case=case, money=weigh(case, *others, draws=2_000), **NO_MORE)


def shown(name, monkeypatch, **instead):
    """A page run by itself with parts of the session replaced."""
    from streamlit.testing.v1 import AppTest

    from coreset.web import session

    for attribute, value in instead.items():
        monkeypatch.setattr(session, attribute, value)
    page = AppTest.from_file(str(navigation.path_of(name)), default_timeout=30).run()
    assert not page.exception, page.exception
    return page


def tables(page):
    """Tables of a page: they are sent as text."""
    return [text for text in page.markdown if text.value.startswith("| ")]


VIEWS = ("payback", "patterns", "options", "sensitivity")


@pytest.mark.parametrize("name", VIEWS)
def test_each_view_answers_first_and_gives_its_reasons_in_one_fold(name, decided, monkeypatch):
    """An answer in bold, a chart with its figures in a fold, then one fold that holds all the rest."""
    page = shown(name, monkeypatch, case=lambda: decided.case, assessment=lambda: decided)
    assert page.markdown[0].value.startswith("**") and len(page.markdown[0].value) > 20
    top = [fold for fold in page.expander if fold.label == say("money.view.why")]
    assert len(top) == 1 and len(page.get("vega_lite_chart")) >= 1
    of_page, of_fold = ([f for f in place.expander if f.label != say("front.figures")] for place in (page, top[0]))
    assert len(of_page) == 1 + len(of_fold)


def test_the_views_lose_nothing_of_the_page_that_they_were(decided, monkeypatch):
    """Verdict on the first, tables and workings on all of them together."""
    found = [shown(name, monkeypatch, case=lambda: decided.case, assessment=lambda: decided) for name in VIEWS]
    assert found[0].markdown[0].value.startswith("**Not yet decided for HUB and BOX")
    assert say("front.working") in [fold.label for fold in found[0].expander]
    assert sum(len(tables(page)) for page in found) >= 10


def test_payback_without_prices_says_so(decided, monkeypatch):
    """No money, no figure: a sentence in its place and nothing else."""
    bare = Given(case=replace(decided.case, title="no prices"), money=None, **NO_MORE)
    monkeypatch.setattr(navigation, "link", lambda *_a, **_k: None)
    page = shown("payback", monkeypatch, case=lambda: bare.case, assessment=lambda: bare)
    assert len(page.markdown) == 1 and not tables(page)


def test_audit_compares_with_an_earlier_state(decided, monkeypatch):
    """The state that was decided on is chosen from the trail; dearer maintenance shows item by item."""
    case, *others = parts(plant(), maintenance_per_year=around(19_000))
    spent = Actual(year=1, item="maintenance", amount=19_000.0, origin="invoice 7")
    case = replace(case, actuals=(spent,))
    now = Given(case=case, money=weigh(case, *others, draws=2_000), **NO_MORE)
    row = SimpleNamespace(revision=1, when="2026-01-05", who="PM1", why="decided")
    book = SimpleNamespace(trail=lambda _: (replace_row(row, revision=2), row))
    instead = {
        "book": lambda: book,
        "case_id": lambda: "plant",
        "as_kept": lambda revision: replace(case),
        "assessment": lambda: now,
        "assessment_of": lambda found: decided,
    }
    page = shown("audit", monkeypatch, **instead)
    assert page.selectbox[0].options == [say("money.audit.kept", when="2026-01-05", who="PM1", why="decided")]
    assert "maintenance" in page.markdown[0].value and "falls short" in page.markdown[0].value
    assert any(one.value.startswith("Original claim") for one in page.markdown)
    assert page.caption[-1].value == say("money.audit.change")


def replace_row(row, **changes):
    """A row of the trail with some of it changed."""
    return SimpleNamespace(**{**vars(row), **changes})


def test_an_approval_replaces_an_earlier_one_only_when_asked(decided, monkeypatch):
    """The first is one button; over one that is stored a question comes first, with its day and code."""
    kept = []
    book = SimpleNamespace(trail=lambda _: (SimpleNamespace(revision=1, when="", who="", why=""),))
    instead = {
        "book": lambda: book, "case_id": lambda: "plant", "assessment_of": lambda found: decided,
        "who": lambda: "PM2", "keep": lambda case, why: kept.append(case),
    }  # fmt: skip
    page = shown("audit", monkeypatch, assessment=lambda: decided, **instead)
    first = say("money.audit.approve")
    assert first in [button.label for button in page.button] and not page.get("popover")
    rows = promise_rows(decided.money, "PM1", "2026-03-31")
    again = Given(case=replace(decided.case, promised=rows), money=decided.money, **NO_MORE)
    page = shown("audit", monkeypatch, assessment=lambda: again, **instead)
    labels = [button.label for button in page.button]
    assert first not in labels and [one.proto.popover.label for one in page.get("popover")]
    assert any("2026-03-31, PM1" in text.value for text in page.markdown) and not kept
    next(button for button in page.button if button.label == say("money.audit.replace_it")).click().run()
    assert {row.who for row in kept[0].promised if row.kind == "figure"} == {"PM2"}


def test_audit_before_anything_was_kept(decided, monkeypatch):
    """With one state only, the page says how to come to a comparison."""
    row = SimpleNamespace(revision=1, when="", who="", why="")
    instead = {
        "book": lambda: SimpleNamespace(trail=lambda _: (row,)),
        "case_id": lambda: "plant",
        "assessment": lambda: decided,
    }
    page = shown("audit", monkeypatch, **instead)
    assert page.info[0].value == say("money.audit.none")
