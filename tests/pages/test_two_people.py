"""Two people on one case, on the pages: each act concerns what was shown, and typed text stays."""

from dataclasses import replace

import pytest
from book_cases import case, sitting, study
from streamlit.testing.v1 import AppTest

from coreset.case import Actual, Readings
from coreset.text import say
from coreset.web import navigation

APP = navigation.FOLDER / "app.py"
TIMEOUT_S = 120
ACTUALS = tuple(
    Actual(item="air", year=year, amount=amount, origin="meter") for year, amount in ((1, 10.0), (2, 20.0), (3, 20.0))
)


@pytest.fixture
def book(own_book, monkeypatch):
    """A small case with a study that a clock took in part."""
    monkeypatch.setenv("CORESET_CASE", "c")
    own_book.keep("c", case(study(readings=Readings(), consent=True)), who="OB7", why="entered")
    own_book.take("c", "S1", "d1", sitting()[:5])
    return own_book


def shown(page, **query):
    """A page as one person sees it."""
    app = AppTest.from_file(str(APP), default_timeout=TIMEOUT_S)
    app.session_state["who"] = "T1"
    for name, value in query.items():
        app.query_params[name] = value
    return app.run().switch_page(str(navigation.path_of(page))).run()


def box(app, label):
    """The field of that label."""
    boxes = [*app.text_input, *app.number_input, *app.text_area, *app.selectbox]
    return next(one for one in boxes if one.label.startswith(label))


def pressed(app, label):
    """The page after a button."""
    return next(button for button in app.button if button.label.startswith(label)).click().run()


def test_an_element_is_renamed_in_every_study_on_the_page(book):
    """The library renames an element; the readings that a clock took stand under the new name."""
    app = shown("timing", study="S1", view="library")
    assert not app.exception and not app.error
    next(one for one in app.selectbox if one.label == say("timing.library.which")).select("fetch")
    box(app, say("timing.library.new")).set_value("lift core")
    app = pressed(app, say("timing.library.do"))
    assert not app.exception and not app.error
    [now] = book.open("c").studies
    assert [e.name for e in now.elements] == ["lift core", "set"] and now.elements[0].earlier == ("fetch",)
    assert now.readings.element[0] == "lift core"


def test_a_correction_concerns_the_reading_that_was_chosen(book):
    """Presses that come in between choosing and sending, and a renamed element, move the correction to no other."""
    app = shown("timing", study="S1", view="readings")
    which = box(app, say("timing.correct_which"))
    which.select_index(1)
    box(app, say("timing.correct_why")).set_value("dropped a core")
    book.take("c", "S1", "d1", sitting()[5:])
    held = book.open("c")
    first, second = held.studies[0].elements
    renamed = replace(held.studies[0], elements=(first, replace(second, name="place", earlier=("set",))))
    book.keep("c", replace(held, studies=(renamed,)), who="ED2", why="a better name")
    app = pressed(app, say("timing.correct_keep"))
    assert not app.exception and not app.error
    assert [(made.seq, made.action) for made in book.open("c").studies[0].corrections] == [(4, "exclude")]


def test_a_correction_that_is_refused_keeps_its_words(book):
    """Without a reason it is refused; what was chosen and typed stands there still."""
    app = shown("timing", study="S1", view="readings")
    box(app, say("timing.correct_which")).select_index(1)
    box(app, say("timing.correct_action")).select("rerate")
    box(app, say("timing.correct_value")).set_value("95")
    app = pressed(app, say("timing.correct_keep"))
    assert app.error and not book.open("c").studies[0].corrections
    assert (box(app, say("timing.correct_action")).value, box(app, say("timing.correct_value")).value) == (
        "rerate",
        "95",
    )
    box(app, say("timing.correct_why")).set_value("slower than it looked")
    app = pressed(app, say("timing.correct_keep"))
    (made,) = book.open("c").studies[0].corrections
    assert (made.seq, made.action, made.value) == (4, "rerate", "95")
    assert box(app, say("timing.correct_value")).value == "", "begun anew"


def test_a_new_study_is_begun_on_what_was_chosen(book):
    """Somebody else puts a pattern before the chosen one: the study is of the chosen one still."""
    held = book.open("c")
    book.keep(
        "c", replace(held, patterns=(*held.patterns, replace(held.patterns[0], pattern="P2"))), who="ED2", why="P2"
    )
    app = shown("timing")
    for label, value in (("new_code", "S9"), ("new_observer", "OB7"), ("new_operator", "OP3"), ("new_elements", "set")):
        box(app, say(f"timing.{label}")).set_value(value)
    box(app, say("timing.new_pattern")).select("P2")
    held = book.open("c")
    more = (replace(held.patterns[0], pattern="P0"), *held.patterns)
    book.keep("c", replace(held, patterns=more), who="ED2", why="P0")
    app = pressed(app, say("timing.new_do"))
    assert not app.exception and not app.error
    assert {one.study: one.pattern for one in book.open("c").studies}["S9"] == "P2"


def with_actuals(book, actuals, why):
    """Somebody else saves actual costs."""
    book.keep("c", replace(book.open("c"), actuals=actuals), who="ED2", why=why)


def test_rows_of_one_name_are_not_taken_for_each_other(book):
    """Three rows are called alike. Another editor removes the first: what is changed here is the row that was shown."""
    with_actuals(book, ACTUALS, "entered")
    app = shown("facts", place="actuals")
    rows = box(app, say("front.facts.row"))
    rows.select_index(1).run()
    box(app, "Money of that year").set_value(99.0)
    with_actuals(book, ACTUALS[1:], "the first was a mistake")
    app = pressed(app, say("front.facts.keep"))
    assert not app.exception
    assert [(one.year, one.amount) for one in book.open("c").actuals] == [(2, 99.0), (3, 20.0)]


def test_a_row_of_an_ambiguous_name_that_was_changed_is_refused(book):
    """The shown row was changed by somebody else, and its name fits others too: refused, none of them is touched."""
    with_actuals(book, ACTUALS, "entered")
    app = shown("facts", place="actuals")
    box(app, say("front.facts.row")).select_index(1).run()
    others = (replace(ACTUALS[1], amount=21.0), ACTUALS[2])
    with_actuals(book, others, "read again")
    app = pressed(app, say("front.facts.remove"))
    assert not app.exception and book.open("c").actuals == others


def test_a_form_that_is_opened_anew_shows_what_others_saved(book):
    """After leaving the page the form begins on the case as it is now, not on what it was at the first visit."""
    app = shown("facts", place="case")
    assert box(app, "What is decided").value == "Setter?"
    app.switch_page(str(navigation.path_of("case"))).run()
    book.keep("c", replace(book.open("c"), title="Theirs"), who="ED2", why="a title")
    app.switch_page(str(navigation.path_of("facts"))).run()
    assert box(app, "What is decided").value == "Theirs"


def test_what_others_saved_is_told_beside_an_open_form(book):
    """The form keeps what it was opened on, says what somebody else saved since, and shows it when asked to."""
    app = shown("facts", place="case")
    book.keep("c", replace(book.open("c"), title="Theirs"), who="ED2", why="a title")
    app.run()
    assert box(app, "What is decided").value == "Setter?"
    assert any("Theirs" in one.value for one in app.info)
    app = pressed(app, say("front.facts.anew"))
    assert box(app, "What is decided").value == "Theirs" and not any("Theirs" in one.value for one in app.info)


def test_undo_says_whose_change_it_takes_back(book):
    """Beside each undo stands the change that it takes back, also after an undo."""
    book.keep("c", replace(book.open("c"), title="One"), who="ED1", why="first title")
    book.keep("c", replace(book.open("c"), title="Two"), who="ED2", why="second title")
    for page in ("facts", "case"):
        assert any("ED2" in one.value and "second title" in one.value for one in shown(page).caption), page
    app = pressed(shown("facts"), say("front.case.undo"))
    assert any("ED1" in one.value and "first title" in one.value for one in app.caption)
    assert book.open("c").title == "One"


def test_header_and_elements_are_forms_of_their_own(book):
    """Going from the header to the elements after somebody else saved shows the elements as they are."""
    app = shown("timing", study="S1", view="header")
    held = book.open("c")
    more = replace(
        held.studies[0], elements=(*held.studies[0].elements, replace(held.studies[0].elements[0], name="z"))
    )
    book.keep("c", replace(held, studies=(more,)), who="ED2", why="one more")
    app.query_params["view"] = "elements"
    app.run()
    assert "z" in [one.value for one in app.text_input]
