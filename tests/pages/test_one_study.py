"""By pages from an empty case to a standard of one's own: a study, its readings, and nothing else."""

import pytest
from streamlit.testing.v1 import AppTest

from coreset.brief.case_status import empty_case
from coreset.text import say
from coreset.web import navigation

TIMEOUT_S = 120
SHEET = b"cycle;element;reading\n" + b"".join(b"%d;set;%d.0\n%d;close;%d.5\n" % (c, 11 + c % 3, c, 5) for c in range(9))


@pytest.fixture
def book(own_book):
    """A database with one case that holds nothing but its title."""
    own_book.keep("c", empty_case("begun"), who="OB1", why="begun")
    return own_book


def opened(page, **query):
    """The page as the observer sees it."""
    app = AppTest.from_file(str(navigation.FOLDER / "app.py"), default_timeout=TIMEOUT_S)
    for name, value in query.items():
        app.query_params[name] = value
    return app.run().switch_page(str(navigation.path_of(page))).run()


def typed(app, label, value):
    """Put a value into the field of that label."""
    boxes = [*app.text_input, *app.text_area, *app.selectbox]
    next(box for box in boxes if box.label.startswith(label)).set_value(value)


def pressed(app, label):
    """The page after a button."""
    return next(button for button in app.button if button.label == label).click().run()


def test_a_first_standard_takes_a_study_and_nothing_else(book):
    """Pattern and method are typed where the case lists none; the Standard page answers with the mean of the cycles.

    Six entries on one page before the clock: the observer's code, the operator, the elements with the frequency of an
    occasional one, the pattern, the method, the allowances; the study's code and its observer are filled in.
    """
    app = opened("timing", case="c")
    typed(app, "Your code", "OB1")
    app.run()
    for name, value in (("new_operator", "OP1"), ("new_elements", "set\nclose\nblow off (every 10 molds)")):
        typed(app, say(f"timing.{name}"), value)
    app.number_input[0].set_value(10.0)
    for name, value in (("pattern", "P1"), ("method", "by two people")):
        box = next(box for box in app.selectbox if box.label == say(f"timing.new_{name}"))
        assert box.proto.accept_new_options
        box.options = [*box.options, value]  # as the browser does with a name that is typed
        box.set_value(value)
    typed(app, say("timing.new_timing"), "snapback")
    app = pressed(app, say("timing.new_do"))
    assert not app.exception and not app.error, [one.value for one in app.error]
    [study] = book.open("c").studies
    assert (study.study, study.observer) == ("S1", "OB1")
    assert (study.pattern, study.method) == ("P1", "by two people")
    assert [(e.name, e.occasional, e.per_mold) for e in study.elements][1:] == [
        ("close", False, None), ("blow off", True, 0.1),
    ]  # fmt: skip
    assert [line.percent for line in book.open("c").allowance_set(study.allowances).lines] == [10.0]
    app = opened("timing", case="c", study="S1", view="exchange")
    typed(app, "Your code", "OB1")
    app.file_uploader[0].set_value(("theirs.csv", SHEET, "text/csv")).run()
    assert not [one for one in app.button if one.label == say("timing.import_do")], "the unit is not known yet"
    next(box for box in app.selectbox if "does not say the unit" in box.label).set_value("s").run()
    pressed(app, say("timing.import_do"))
    assert len(book.open("c").studies[0].readings) == 18
    app = opened("timing", case="c", study="S1")
    assert not app.exception and not app.error
    told = {one.label: one.value for one in app.metric}
    assert (told["Saved"], told["Standard so far, per mold"]) == ("18 readings", "19.3\N{NO-BREAK SPACE}s"), told
    assert told["Cycles still needed"] == "none", "9 cycles of 16.5, 17.5 and 18.5 s are within 5 % of their mean"
    assert any("allowance 10.0\N{NO-BREAK SPACE}% included" in one.value for one in app.caption)
    app = pressed(app, say("timing.progress.go_result"))
    assert "standard" in app.query_params["view"] and not app.exception and not app.error
    app = opened("standard", case="c")
    assert not app.exception and not app.error
    said = [str(getattr(one, "value", "")) for one in app.main]
    assert any("19.3" in one for one in said), " ¦ ".join(said)
    assert any(one.label == say("brief.register.title") for one in app.expander)
    app = opened("timing", case="c", study="S1")
    typed(app, "Your code", "OB1")
    app.run()
    for name, value in (("new_code", "S2"), ("new_operator", "OP2"), ("new_elements", "set\nclose")):
        typed(app, say(f"timing.{name}"), value)
    for name, value in (("pattern", "P1"), ("method", "by two people")):
        box = next(box for box in app.selectbox if box.label == say(f"timing.new_{name}"))
        box.options = [*box.options, value]
        box.set_value(value)
    app = pressed(app, say("timing.new_do"))
    assert not app.exception and not app.error, [one.value for one in app.error]
    second = book.open("c").studies[1]
    assert (second.study, second.status) == ("S2", "trial"), "it enters the standard when somebody says so"
    app = opened("timing", case="c", study="S2")
    assert any("S2 is on trial" in one.value for one in app.caption)
    app = opened("timing", case="c", study="S1", view="header")
    typed(app, "Your code", "OB1")
    status = next(box for box in app.selectbox if box.label.lower().startswith("status in the register"))
    status.set_value("withdrawn")
    next(
        box for box in app.text_input if (box.key or "").startswith("c.register") and box.key.endswith("why")
    ).set_value("wrong cores")
    app = pressed(app, say("timing.register_keep"))
    assert not app.exception and not app.error, [one.value for one in app.error]
    assert book.open("c").studies[0].status == "withdrawn" and len(book.open("c").studies[0].readings) == 18
