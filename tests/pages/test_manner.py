"""Decimal comma and dates of a case on every page: no figure is shown with a point, no day in another style."""

import re
from dataclasses import replace

import pytest
from browsers import settled, unfolded

from coreset.report.numbers import PLACE_OF_A_TEXT
from coreset.store.book import Book
from coreset.web import navigation, shelf

pytestmark = pytest.mark.browser
READ = """() => { const out = [];
  const walk = document.createTreeWalker(document.querySelector('.stApp'), NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) { const text = walk.currentNode.textContent.trim(), parent = walk.currentNode.parentElement;
    if (text && !parent.closest('style, script, [data-testid=stSlider]')) out.push(text); }
  document.querySelectorAll('[aria-label]').forEach(node => out.push(node.getAttribute('aria-label')));
  return out; }"""
"""Every text of a page. Sliders and fields to type in write numbers as the browser and the framework do."""
POINT, DAY = re.compile(r"\d\.\d"), re.compile(r"\d{4}-\d\d-\d\d")
OTHER_DAY = re.compile(r"\b\d\d\.\d\d\.\d{4}\b")
COMMA = re.compile(r"\d,\d")
LISTED = [name for name in navigation.ORDER if name not in ("timing", "facts")]
SOME = ["brief", "standard", "case"]
VIEWS = [*LISTED, "timing?view=readings", "timing?view=sign", "facts?place=lifts"]


@pytest.mark.parametrize(
    "views", [pytest.param(SOME, id="some"), pytest.param(VIEWS, id="all", marks=pytest.mark.long)]
)
def test_no_page_shows_a_point_where_the_case_wants_a_comma(serve, page, views, tmp_path):
    """Pages of a case with decimal comma and the day first: places of publications alone keep their points.

    The book is its own: pages that list cases show the titles that other tests gave theirs.
    """
    book = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    demo = book.open(shelf.shelve(book, shelf.demo_folder()))
    book.keep("comma", replace(demo, decimal="comma", date_style="day"), who="T1", why="test")
    book.keep("comma", replace(demo, decimal="comma", date_style="day", title="later"), who="T1", why="test")
    server = serve(book_url=book.url)
    book.close()
    found, commas = [], 0
    for view in views:
        page.goto(f"{server.url}/{view}{'&' if '?' in view else '?'}case=comma")
        settled(page, 120_000)
        for text in unfolded(page, READ):
            left = OTHER_DAY.sub("", PLACE_OF_A_TEXT.sub("", text))
            found += [(view, text)] if POINT.search(left) or DAY.search(left) else []
            commas += bool(COMMA.search(left))
    assert not found, "\n".join(f"{view}: {text[:200]}" for view, text in dict.fromkeys(found))
    assert commas > 15 * len(views)
