"""Business case, live: an input changes the answer without saving; saved when asked; what is missing is linked."""

from streamlit.testing.v1 import AppTest

from coreset.brief.case_status import empty_case
from coreset.text import say
from coreset.web import navigation

DEMO = "ostrander_bend"


def shown(case=DEMO):
    """The page with the live answer, through the router."""
    app = AppTest.from_file(str(navigation.FOLDER / "app.py"), default_timeout=90)
    app.session_state["who"], app.session_state["case_id"] = "T1", case
    return app.run().switch_page(str(navigation.path_of("payback"))).run()


def price_of(app):
    """The field of the setter's price."""
    return next(field for field in app.number_input if field.label.startswith("Price of the setter"))


def pressed(app, label):
    """The page once a button was pressed."""
    return next(button for button in app.button if button.label == label).click().run()


def test_an_input_changes_the_answer_and_nothing_is_saved_until_asked(book):
    """Dearer: another NPV with its difference; left and come back to, it stands; saved to the case or apart."""
    app = shown()
    before, revision = app.metric[0].value, book.revision(DEMO)
    assert not app.exception and len(app.number_input) == 8 and not app.metric[0].delta
    price_of(app).set_value(260_000.0).run()
    assert app.metric[0].value != before and app.metric[0].delta.startswith("\N{MINUS SIGN}")
    assert "260000" in app.info[0].value and book.revision(DEMO) == revision
    app.switch_page(str(navigation.path_of("facts"))).run()
    app.switch_page(str(navigation.path_of("payback"))).run()
    assert price_of(app).value == 260_000.0 and app.metric[0].delta
    pressed(app, say("money.live.save_scenario"))
    assert book.open(f"{DEMO}-what-if").money.setter_price.likely == 260_000.0
    assert book.open(DEMO).money.setter_price.likely == 185_000.0
    pressed(app, say("money.live.save_scenario"))
    assert "exists" in app.error[0].value
    pressed(app, say("money.live.save"))
    assert not app.exception and book.open(DEMO).money.setter_price.likely == 260_000.0
    assert "185000" in book.trail(DEMO)[0].why and not app.metric[0].delta
    price_of(app).set_value(100_000.0).run()
    pressed(app, say("money.live.reset"))
    assert price_of(app).value == 260_000.0 and not app.metric[0].delta


def test_a_case_without_money_says_what_is_missing_and_links_to_it(book):
    """No study, no method, no price: each a link; no figure and no field."""
    book.keep("bare", empty_case("bare"), who="T1", why="test")
    app = shown("bare")
    assert not app.exception and not app.error and not app.metric and not app.number_input
    assert "No answer on money yet" in app.markdown[0].value
