"""What pages keep of a case of many patterns: one run more of Line hardly grows with them; no name is taken twice."""

import ast
import threading
from functools import partial
from pathlib import Path

import pytest
from bench import scale
from streamlit.testing.v1 import AppTest

import coreset.assess
from coreset.store.book import Book
from coreset.text import say
from coreset.web import navigation, person

HOUSE = (str(navigation.FOLDER), str(Path(coreset.assess.__file__).parent))
FEW, MANY, MOST = 0.012, 0.06, 0.12
"""Shares of the full size: 2 patterns that are timed or can be estimated, 30 patterns, 60."""
CALLS_EACH = 60
"""Calls of one more run for each pattern more: meant under 10, over a thousand where every table is made again."""
KEEPERS = ("results.rows", "results.working", "results.sentences", "results.picture", "session.once", "session.worded")
LEAST = {"resamples": 200, "draws": 200, "replications": 20}


@pytest.fixture
def opened(tmp_path, monkeypatch):
    """Opens Line on a case of a share of the full size, but of few readings, until nothing is left to be calculated."""
    monkeypatch.setattr(scale, "READINGS", 40_000)
    monkeypatch.setattr(coreset.assess, "assess", partial(coreset.assess.assess, **LEAST))

    def at(share):
        address = f"sqlite:///{tmp_path / str(share)}.sqlite"
        monkeypatch.setenv("CORESET_BOOK", address)
        monkeypatch.setenv("CORESET_CASE", "large")
        Book(address).keep("large", scale.big(share), who="T1", why="to be run again")
        app = AppTest.from_file(str(navigation.FOLDER / "app.py"), default_timeout=300)
        app.session_state[person.WHO] = "T1"
        app.run()
        app.switch_page(str(navigation.path_of("line"))).run()
        assert not app.exception
        return app

    return at


def calls(app):
    """Functions of coreset that one more run calls, each item of a generator counted."""
    count = 0

    def seen(frame, event, _):
        nonlocal count
        count += event == "call" and frame.f_code.co_filename.startswith(HOUSE)

    threading.setprofile(seen)
    try:
        app.run()
    finally:
        threading.setprofile(None)
    assert not app.exception
    return count


def sent(block):
    """Elements in a block, and characters of what is written in them."""
    if hasattr(block, "children"):
        inside = [sent(one) for one in block.children.values()]
        return sum(n for n, _ in inside), sum(length for _, length in inside)
    return 1, len(getattr(block, "value", "") or "") if block.type in ("markdown", "caption") else 0


@pytest.mark.slow
def test_a_run_of_line_does_not_go_through_all_patterns_again(opened):
    """Sixty patterns instead of two: few calls more in a run unchanged, few elements more, no page without end."""
    cost = []
    for share in (FEW, MOST):
        app = opened(share)
        cost.append((len(app.multiselect[0].options), calls(app), *sent(app.main)))
    (few, calls_few, elements_few, _), (many, calls_many, elements_many, text_many) = cost
    assert many == 60 and few < 10
    assert calls_many - calls_few < CALLS_EACH * (many - few)
    assert elements_many < elements_few + 30
    assert text_many < 200_000


@pytest.mark.slow
@pytest.mark.long
def test_a_page_of_many_patterns_has_an_end(opened):
    """Thirty patterns: the page holds no more than some figures and lines of each."""
    elements, text = sent(opened(MANY).main)
    assert elements < 400 and text < 100_000


@pytest.mark.slow
@pytest.mark.long
def test_any_line_of_a_long_working_can_be_asked_for(opened):
    """Of 30 patterns' rates the first lines are shown; those of the last pattern once it is named, and of no other."""
    app = opened(MANY)
    last = app.multiselect[0].options[-1]
    label = say("line.working.rate", pattern=last, method="manual").replace(":", r"\:")  # as it is guarded
    assert not [one for one in app.markdown if label in one.value]
    app.text_input(key=repr(("about", "line.rates"))).set_value(f"{last} manual").run()
    shown = [one.value for one in app.markdown if label in one.value]
    assert len(shown) == 1 and app.multiselect[0].options[0] not in shown[0]
    app.text_input(key=repr(("about", "line.rates"))).set_value("no such pattern").run()
    assert say("front.no_working") in [one.value for one in app.caption]


def kept_under():
    """Each name under which something is kept, with the function that keeps it; the module where it stands."""
    for path in sorted(navigation.FOLDER.rglob("*.py")):
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(call, ast.Call) and ast.unparse(call.func) in KEEPERS and len(call.args) > 1:
                names = [ast.unparse(one) for one in call.args[1:] if isinstance(one, ast.Constant)]
                yield (ast.unparse(call.func), *names), path.name


def test_no_two_pages_keep_under_the_same_name():
    """What is kept is found by content, name and choice: two tables under one name would be taken for each other."""
    places = {}
    for name, place in kept_under():
        places.setdefault(name, set()).add(place)
    assert len(places) > 50
    assert {name: at for name, at in places.items() if len(at) > 1} == {}
