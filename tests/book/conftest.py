"""Books of both kinds, empty and with a case in them."""

import pytest
from book_cases import case
from stores import kinds, store

from coreset.store.book import Book


def pytest_generate_tests(metafunc):
    """Each test on both stores, but for those that look into the file of a SQLite book."""
    if "url" in metafunc.fixturenames:
        of_a_file = metafunc.definition.get_closest_marker("book_file")
        metafunc.parametrize("url", ["sqlite"] if of_a_file else kinds(), indirect=True)


@pytest.fixture
def url(request, tmp_path):
    """URL of a book that is not there yet; a file's folder is not either."""
    with store(request.param, tmp_path) as found:
        yield found


@pytest.fixture
def book(url):
    """An empty book."""
    opened = Book(url)
    yield opened
    opened.close()


@pytest.fixture
def kept(book):
    """A book with the small case."""
    book.keep("c", case(), who="OB7", why="entered")
    return book
