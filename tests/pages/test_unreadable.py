"""A book that cannot be opened when the pages start: told in words, nothing written, found again without a restart."""

import pytest
from browsers import settled

pytestmark = pytest.mark.browser


def test_a_book_that_cannot_be_opened_is_told_and_found_again(serve, page, tmp_path):
    """A file that is no book: its name and what to do, on every page; once it is a book, a reload opens it."""
    file = tmp_path / "plant.sqlite"
    file.write_bytes(b"these are minutes of a meeting, not a book of cases. " * 200)
    server = serve(book_url=f"sqlite:///{file}")
    for name in ("", "payback"):
        page.goto(f"{server.url}/{name}")
        page.locator("[data-testid=stAlertContentError]").wait_for()
        page.get_by_text("plant.sqlite").first.wait_for()
        said = page.locator("[data-testid=stMain]").inner_text()
        assert "plant.sqlite" in said and "Traceback" not in said, said
    file.unlink()
    page.reload()
    settled(page)
    assert page.locator("[data-testid=stAlertContentError]").count() == 0
