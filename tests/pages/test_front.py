"""The front without a browser: every own page answers, keeps what is typed, refuses what does not fit, undoes."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from coreset.book import Book
from coreset.brief.practice import NAME, practice_case
from coreset.pages import shelf

APP = Path(shelf.__file__).with_name("app.py")
PAGES = ("case", "facts", "brief", "compare", "sources", "guide")
TIMEOUT_S = 90


@pytest.fixture
def book(tmp_path, monkeypatch):
    """A book of its own with the demo and the practice case."""
    monkeypatch.setenv("CORESET_BOOK", f"sqlite:///{tmp_path / 'book.sqlite'}")
    found = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    shelf.shelve(found, shelf.demo_folder())
    found.keep(NAME, practice_case(), who="T1", why="test")
    yield found
    found.close()


def shown(page, case=""):
    """One page through the router."""
    app = AppTest.from_file(str(APP), default_timeout=TIMEOUT_S)
    if case:
        app.session_state["case_id"] = case
    app.run()
    return app.switch_page(str(APP.with_name(f"{page}.py"))).run()


@pytest.mark.parametrize("page", PAGES)
def test_each_page_answers_first(book, page):
    """A title, then the answer in a sentence, no refusal and no exception."""
    if page == "compare":
        book.keep("another", book.open("ostrander_bend"), who="T1", why="test")
    app = shown(page)
    assert not app.exception and not app.error, page
    assert len(app.title) == 1
    assert app.markdown[0].value.startswith("**") and len(app.markdown[0].value) > 30


@pytest.mark.parametrize("page", ["brief", "payback"])
def test_a_case_that_is_not_complete_is_no_error(book, page):
    """Before the first reading such a page says what to do next and where."""
    app = shown(page, case=NAME)
    assert not app.exception and not app.error
    assert any("next" in words.value for words in app.markdown)


def test_a_changed_price_is_kept_and_undone(book):
    """A price typed on Facts is in the book with its reason; undo brings the old one back."""
    before = book.open("ostrander_bend").money.setter_price.likely
    app = shown("facts")
    app.selectbox[0].select("money").run()
    key = "ostrander_bend.money.None.setter_price.likely"
    app.number_input(key=key).set_value(before + 5000)
    next(button for button in app.button if button.label == "Keep").click().run()
    assert not app.exception and not app.error
    assert book.open("ostrander_bend").money.setter_price.likely == before + 5000
    assert "changed" in book.trail("ostrander_bend")[0].why
    app.switch_page(str(APP.with_name("case.py"))).run()
    next(button for button in app.button if button.label.startswith("Undo")).click().run()
    assert book.open("ostrander_bend").money.setter_price.likely == before


def test_what_does_not_fit_is_refused_with_its_place(book):
    """A pattern without a code is not kept; the page says where, what was found, what was expected."""
    kept = len(book.open("ostrander_bend").patterns)
    app = shown("facts")
    app.selectbox[0].select("patterns").run()
    app.selectbox[1].select(kept).run()
    next(button for button in app.button if button.label == "Keep").click().run()
    assert app.error and not app.exception
    assert len(book.open("ostrander_bend").patterns) == kept


def test_a_new_case_is_started_and_opened(book):
    """A name typed on Case begins an empty case, which says what to do first."""
    app = shown("case")
    next(box for box in app.text_input if box.label == "New case").set_value("fresh").run()
    next(button for button in app.button if button.label == "Start it").click().run()
    assert not app.exception
    assert book.revision("fresh") == 1 and "next" in app.markdown[0].value
