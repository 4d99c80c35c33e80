"""Options entered and changed in Setup: offers and improved hand methods; what does not fit is said at its field."""

import pytest

from coreset.text import say
from tests.pages.test_front import book, pressed, shown  # noqa: F401 - a fixture

DEMO, NEW = "ostrander_bend", "\N{HEAVY PLUS SIGN}"


def widget(kind, start):
    """The widget of a page whose label starts so."""
    return next(one for one in kind if one.label.startswith(start))


def opened():
    """Setup on its options."""
    app = shown("facts")
    app.selectbox[0].select("options").run()
    assert not app.exception
    return app


def new_row(app):
    """Setup on a new option, after one was saved."""
    widget(app.selectbox, "Which one").select(NEW).run()
    return app


@pytest.mark.slow
def test_an_offer_and_a_hand_method_are_entered_changed_and_weighed(book):  # noqa: F811 - a fixture
    """A vendor with a price of its own; patterns improved by hand beside it; a changed price; then both on Options."""
    app = opened()
    widget(app.text_input, "Name of the option").input("offer B")
    widget(app.number_input, "Price of the setter").set_value(150_000.0)
    widget(app.number_input, "Vacuum generators").set_value(6)
    app = pressed(app, "Save")
    assert not app.exception and not app.error
    [offer] = book.open(DEMO).options
    assert (offer.option, offer.setter_price.likely, offer.generators) == ("offer B", 150_000.0, 6)
    app = new_row(app)
    widget(app.text_input, "Name of the option").input("hand first")
    widget(app.multiselect, "Patterns that are improved by hand").set_value(["GC07"])
    widget(app.selectbox, "Method by hand").select("manual, redesigned")
    app = pressed(app, "Save")
    assert not app.exception and not app.error
    assert [(o.option, o.by_hand, o.hand_method) for o in book.open(DEMO).options[1:]] == [
        ("hand first", ("GC07",), "manual, redesigned")
    ]
    widget(app.selectbox, "Which one").select("offer B").run()
    assert widget(app.number_input, "Price of the setter").value == 150_000.0
    widget(app.number_input, "Price of the setter").set_value(120_000.0)
    app = pressed(app, "Save")
    assert not app.error and book.open(DEMO).options[0].setter_price.likely == 120_000.0
    page = shown("options")
    assert not page.exception and all(any(name in m.value for m in page.markdown) for name in ("offer B", "hand first"))


@pytest.mark.parametrize(
    ("typed", "rule", "field"),
    [("offer B", "must do", "reason"), ("manual", "", "option"), ("", "", "option")],
)
def test_an_option_that_does_not_fit_is_refused_at_its_field(book, typed, rule, field):  # noqa: F811 - a fixture
    """A rule without its reason, the name of a method, no name: nothing is saved, what was typed stays."""
    app = opened()
    widget(app.text_input, "Name of the option").input(typed)
    widget(app.number_input, "Price of the setter").set_value(150_000.0)
    widget(app.selectbox, "Whether it must be done").select(rule)
    app = pressed(app, "Save")
    assert not app.exception and not book.open(DEMO).options
    assert [error.value for error in app.error] == [say("front.facts.faults")], field
    assert widget(app.number_input, "Price of the setter").value == 150_000.0
