"""Codes of people on the pages: looking needs none; whatever keeps, undoes, begins or corrects needs one."""

from dataclasses import replace

import pytest
from streamlit.testing.v1 import AppTest

from coreset.case import Correction
from coreset.case.people import COMMAND, ORIGINS, PROGRAM
from coreset.study.report.practice_case import NAME, practice_case
from coreset.study.standard_data import CONSTANT
from coreset.text import say
from coreset.web import navigation

APP = navigation.FOLDER / "app.py"
TIMEOUT_S = 120
DEMO, CODE = "ostrander_bend", "OB7"
LIFT = {
    "Short name of the task": "box to bench",
    "Method that it belongs to": "manual",
    "Pattern that it is done for": "VB24",
    "Load, if it is not": 5.0,
    "Lifts for one mold": 1.0,
    "H at the origin": 40.0,
    "V at the origin": 70.0,
    "H at the destination": 40.0,
    "V at the destination": 80.0,
}
MISSING = "Enter your code first, in the field “Your code” at the top of this page"


@pytest.fixture
def book(book):
    """A book of its own with the demo, changed once so that there is something to undo."""
    book.keep(DEMO, replace(book.open(DEMO), title="Decided"), who="T1", why="an earlier state for Audit")
    return book


def opened(page, **query):
    """A page as somebody sees it who has not said who they are; the simulated browser has no cookie."""
    app = AppTest.from_file(str(APP), default_timeout=TIMEOUT_S)
    for name, value in query.items():
        app.query_params[name] = value
    return app.run().switch_page(str(navigation.path_of(page))).run()


def pressed(app, label):
    """The page after a button."""
    return next(button for button in app.button if button.label == label).click().run()


def typed(app, label, value):
    """Put a value into the field of that label."""
    boxes = [*app.text_input, *app.number_input, *app.text_area, *app.selectbox]
    next(box for box in boxes if box.label.startswith(label)).set_value(value)


def picked(app, label, value):
    """Choose from the list of that label, drawn anew."""
    next(box for box in app.selectbox if box.label.startswith(label)).select(value).run()


def price(app):
    picked(app, "What to change", "money")
    app.number_input[0].set_value(app.number_input[0].value + 1)
    return pressed(app, "Save")


def lift(app):
    picked(app, "What to change", "lifts")
    rows = next(box for box in app.selectbox if box.label == "Which one")
    rows.select_index(len(rows.options) - 1).run()
    for label, value in LIFT.items():
        typed(app, label, value)
    return pressed(app, "Save")


def row_removed(app):
    picked(app, "What to change", "lifts")
    return pressed(app, "Remove this one")


def row_moved(app):
    picked(app, "What to change", "lines")
    next(box for box in app.selectbox if box.label == "Which one").select_index(1).run()
    return pressed(app, "Move it up")


def started(app):
    next(box for box in app.text_input if box.label == "New case").set_value("fresh").run()
    return pressed(app, "Create case")


def redesigned(app):
    knob = next(slider for slider in app.slider if slider.key.endswith("_horizontal_origin"))
    knob.set_value(knob.value + 1).run()
    return pressed(app, say("handling.page.keep"))


def driven(app):
    app.session_state["study.data.title"] = True
    own = next(box for box in app.run().selectbox if box.label == say("study.data.own"))
    own.set_value(CONSTANT).run()
    return pressed(app, say("study.data.keep"))


def entered(app):
    typed(app, "Money of that year", 1000.0)
    typed(app, "Where the figure comes from", "invoice")
    typed(app, "Year of the evaluation period", 0)
    return pressed(app, "Save")


def excluded(app):
    typed(app, "Why", "core dropped")
    return pressed(app, say("timing.correct_keep"))


def headed(app):
    typed(app, "Department and operation", "molding")
    typed(app, "Why", "left out")
    return pressed(app, say("timing.header_keep"))


def named(app):
    app.text_input(
        key=next(box.key for box in app.text_input if (box.key or "").endswith("element1.breakpoint"))
    ).set_value("seen")
    typed(app, "Why", "clearer")
    return pressed(app, say("timing.elements_keep"))


def begun(app):
    for label, value in (
        (say("timing.new_code"), "S9"),
        ("Observer, by", "OB7"),
        ("Operator, by", "OP1"),
        ("Elements in", "set"),
    ):
        typed(app, label, value)
    return pressed(app, say("timing.new_do"))


def brought(app):
    app.file_uploader[0].set_value(
        ("theirs.csv", b"cycle;element;reading_s\n1;set core;3.0\n2;set core;3.1\n", "text/csv")
    ).run()
    return pressed(app, say("timing.import_do"))


def undone(app):
    return pressed(app, "Undo the last change")


def practised(app):
    return pressed(app, say("front.guide.go"))


ACTS = [
    ("facts", price, {}),
    ("facts", lift, {}),
    ("facts", row_removed, {}),
    ("facts", row_moved, {}),
    ("facts", undone, {}),
    ("case", started, {}),
    ("case", undone, {}),
    ("handling", redesigned, {}),
    ("standard", driven, {}),
    ("audit", entered, {}),
    ("timing", excluded, {"view": "readings"}),
    ("timing", headed, {"view": "header"}),
    ("timing", named, {"view": "elements"}),
    ("timing", begun, {}),
    ("timing", brought, {"view": "exchange", "case": NAME}),
    ("guide", practised, {}),
]
"""Whatever a page keeps: Cycles, Line, Payback, Brief, Compare, Sources keep nothing; Timing excludes a reading."""


def state(book):
    """What the book holds, and who changed it last."""
    cases = {row.case_id: row.revision for row in book.cases()}
    return cases, {name: [s.corrections for s in book.open(name).studies] for name in cases}


def who_did(book, before):
    """Codes beside what was kept since."""
    found = {row.who for row in book.cases() if before[0].get(row.case_id) != row.revision}
    for name, studies in before[1].items():
        for had, now in zip(studies, book.open(name).studies, strict=False):
            found |= {made.who for made in now.corrections[len(had) :] if isinstance(made, Correction)}
    return found


FIRST = (price, started, excluded)
"""The acts of every run, of three rooms; the others with `-m slow`."""


@pytest.mark.parametrize(
    ("page", "act", "query"),
    [
        pytest.param(page, act, query, marks=() if act in FIRST else pytest.mark.slow, id=f"{page}-{act.__name__}")
        for page, act, query in ACTS
    ],
)
def test_nothing_is_kept_without_a_code_and_what_is_bears_it(book, page, act, query):
    """Refused in a sentence that says what is missing and where to type it; once typed there, kept under that code."""
    if query.get("case") == NAME:
        book.keep(NAME, practice_case(), who="T1", why="test")
    before, app = state(book), opened(page, **query)
    assert not app.exception
    app = act(app)
    assert not app.exception
    assert [MISSING in error.value.replace("\\", "") for error in app.error] == [True]
    assert state(book) == before
    app.text_input(key="who_typed").set_value(f" {CODE} ").run()
    app = act(app)
    assert not app.exception and not app.error
    assert who_did(book, before) == {CODE}


@pytest.mark.parametrize("page", navigation.ORDER)
def test_every_page_is_read_without_a_code(book, page):
    """Looking keeps nothing and asks for nothing; the field for the code stands on every page, once."""
    before, app = state(book), opened(page)
    assert not app.exception and not app.error
    assert [box.key for box in app.text_input if box.label == "Your code"] == ["who_typed"]
    assert state(book) == before


@pytest.mark.parametrize("word", [*ORIGINS, PROGRAM.title()])
def test_nobody_goes_by_the_word_for_what_no_person_is_behind(book, word):
    """The demo is brought in by the program; that word and the command's are no codes of people."""
    assert book.trail(DEMO)[-1].who == PROGRAM != COMMAND
    before, app = state(book), opened("case")
    app.text_input(key="who_typed").set_value(word).run()
    app = undone(app)
    assert "code of your own" in app.error[0].value and state(book) == before


@pytest.mark.parametrize("word", ["O\u04127", "OB7\u202e"])
def test_nobody_goes_by_a_code_that_reads_as_another(book, word):
    """A Cyrillic letter among Latin ones, or a sign that is not seen, in the code of a person."""
    before, app = state(book), opened("case")
    app.text_input(key="who_typed").set_value(word).run()
    app = undone(app)
    assert "Not saved. Give a code" in app.error[0].value and state(book) == before


def test_who_rates_says_who_they_are_first(book):
    """The check of a rater is not begun without a code, since what it finds could not be kept."""
    app = opened("standard")
    app.session_state["study.standard.section_rater"] = True
    app.run()
    assert any("a rating test is saved with the code of the rater" in words.value for words in app.info)
    app.text_input(key="who_typed").set_value(CODE).run()
    assert not any("a rating test is saved with the code of the rater" in words.value for words in app.info)


@pytest.mark.slow
def test_each_newcomer_has_a_practice_case_of_their_own(book):
    """The practice case of another is left alone; one's own is found again."""
    for code, name in (("NC1", NAME), ("NC2", f"{NAME}-2"), ("NC1", NAME)):
        app = opened("guide", case=DEMO)
        app.text_input(key="who_typed").set_value(code).run()
        app = practised(app)
        assert app.session_state["case_id"] == name and book.trail(name)[-1].who == code
    assert {row.case_id: row.revision for row in book.cases() if row.case_id != DEMO} == {NAME: 1, f"{NAME}-2": 1}
