"""A page drawn again with nothing changed goes by what it kept: counted in calls of our own functions, not in time."""

import sys
import threading
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from bench.scale import big
from streamlit.testing.v1 import AppTest

from coreset import assess
from coreset.store.book import Book
from coreset.store.folder import read
from coreset.web import navigation, shelf

APP = navigation.FOLDER / "app.py"
OURS = (str(APP.parent), str(Path(assess.__file__).parent))
MOST_CALLS = 4_500
PAGES = ("cycles", "standard", "handling", "line", "payback", "brief")


class Calls:
    """Calls of our own functions, by file and name, in all threads begun meanwhile."""

    def __enter__(self):
        self.found = Counter()
        threading.setprofile(self.count)
        sys.setprofile(self.count)
        return self

    def count(self, frame, event, _):
        """One call."""
        code = frame.f_code
        if event == "call" and code.co_filename.startswith(OURS):
            self.found[Path(code.co_filename).name, code.co_name] += 1

    def __exit__(self, *_):
        sys.setprofile(None)
        threading.setprofile(None)


def opened(folder, patch, case):
    """Simulated pages on a case, with all that follows from it calculated and no page on it drawn."""
    address = f"sqlite:///{folder / 'book.sqlite'}"
    patch.setenv("CORESET_BOOK", address)
    patch.setenv("CORESET_CASE", "counted")
    Book(address).keep("counted", case, who="T1", why="to be counted")
    app = AppTest.from_file(str(APP), default_timeout=600)
    app.session_state["who"] = "T1"  # the simulated browser has no cookie to tell it
    app.run()
    assert app.session_state["case_id"] == "counted"
    turned(app, "audit")
    return app


def turned(app, page):
    """Another page, drawn; calls that it took."""
    with Calls() as made:
        app.switch_page(str(navigation.path_of(page))).run()
    assert not app.exception
    return made.found


def again(app):
    """The page drawn once more; calls that it took."""
    with Calls() as made:
        app.run()
    assert not app.exception
    return made.found


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """The demo under a title that no other test has: what they drew is kept by content."""
    case = replace(read(shelf.demo_folder()), title="Counted")
    with pytest.MonkeyPatch.context() as patch:
        yield opened(tmp_path_factory.mktemp("demo"), patch, case)


@pytest.mark.parametrize(
    "page", [pytest.param(page, marks=pytest.mark.slow) if page in ("handling", "line") else page for page in PAGES]
)
def test_a_page_drawn_again_goes_by_what_it_kept(demo, page):
    """Under a third of the calls of the first time, which may be far too many: then under some thousands."""
    first = turned(demo, page).total()
    repeated = again(demo)
    assert repeated.total() < min(first / 3, MOST_CALLS), repeated.most_common(12)


@pytest.mark.slow
def test_a_large_case_is_drawn_again_by_as_many_calls(demo, tmp_path, monkeypatch):
    """Five times the patterns of the demo and more studies: nowhere near as many calls more."""
    few = {page: (turned(demo, page), again(demo).total())[1] for page in PAGES}
    many_patterns = opened(tmp_path, monkeypatch, big(0.05))
    for page in PAGES:
        turned(many_patterns, page)
        repeated = again(many_patterns)
        assert repeated.total() < 2 * few[page], (page, few[page], repeated.most_common(12))
