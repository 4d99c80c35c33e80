"""Each page opens the inputs behind its figures in place: changed there, the page shows what follows."""

import pytest
from streamlit.testing.v1 import AppTest

from coreset.pages.setup.inputs import BEHIND
from coreset.text import say
from coreset.web import navigation

DEMO = "ostrander_bend"
WITHOUT_FIGURES = {"facts", "guide", "keyboard", "methods", "sources"}
"""Setup is itself the inputs; Help shows what was published."""


def shown(page):
    """A page whose inputs are open."""
    app = AppTest.from_file(str(navigation.FOLDER / "app.py"), default_timeout=120)
    app.session_state["who"], app.session_state["case_id"] = "T1", DEMO
    app.run()
    app.session_state[f"inputs.{page}"] = True
    return app.run() if page == navigation.ORDER[0] else app.switch_page(str(navigation.path_of(page))).run()


def test_every_page_with_figures_offers_its_inputs():
    """Of all pages only Setup and Help have none."""
    assert set(navigation.ORDER) - set(BEHIND) == WITHOUT_FIGURES


@pytest.mark.slow
@pytest.mark.parametrize("page", ["case", "patterns", "standard", "handling", "line"])
def test_the_inputs_open_over_the_page(book, page):
    """The first part that the page rests on stands there as a form with its button."""
    app = shown(page)
    assert not app.exception and not app.error
    assert app.selectbox(key=f"inputs_place.{page}").value == BEHIND[page][0]
    assert [one for one in app.button if one.label == say("front.facts.keep")]


@pytest.mark.slow
def test_an_input_changed_in_place_changes_the_figure(book):
    """The price of the setter on Options: saved with old and new value, the net present value falls, the page stays."""
    app = shown("options")
    app.selectbox(key="inputs_place.options").set_value("money").run()
    before = app.markdown[0].value + "".join(one.value for one in app.markdown)
    price = next(one for one in app.number_input if one.label.startswith("Price of the setter"))
    price.set_value(200_000.0)
    form = next(one for one in app.button if one.label == say("front.facts.keep"))
    form.click().run()
    assert not app.exception and book.open(DEMO).money.setter_price.likely == 200_000.0
    assert "185000" in book.trail(DEMO)[0].why and any("185000" in one.value for one in app.success)
    assert app.markdown[0].value + "".join(one.value for one in app.markdown) != before
