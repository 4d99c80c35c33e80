"""Setup: the grid of a list in its page: faults by row and column, saved rows, the old values in the change log."""

import pytest
from streamlit.testing.v1 import AppTest

from coreset.store.book import Book
from coreset.text import say
from coreset.web import navigation, shelf

DEMO = "ostrander_bend"


@pytest.fixture
def book(tmp_path, monkeypatch):
    """A book of its own with the demo."""
    monkeypatch.setenv("CORESET_BOOK", f"sqlite:///{tmp_path / 'book.sqlite'}")
    found = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    shelf.shelve(found, shelf.demo_folder())
    yield found
    found.close()


def test_a_grid_is_saved_as_a_whole_or_its_faults_are_listed(book, monkeypatch):
    """A word for a number stands with row and column; corrected, all rows are saved in one revision."""
    typed, told = {}, []

    def editor(rows, **how):
        assert list(rows.index) == list(range(1, len(rows) + 1))
        told.append(list(rows.get("fault", ())))
        return rows.assign(**{name: [typed.get(at, {}).get(name, cell) for at, cell in enumerate(rows[name])]
                              for name in rows})  # fmt: skip

    monkeypatch.setattr("streamlit.data_editor", editor)
    app = AppTest.from_file(str(navigation.FOLDER / "app.py"), default_timeout=90)
    app.session_state["who"], app.session_state["case_id"] = "T1", DEMO
    app.query_params["place"] = "patterns"
    app.run().switch_page(str(navigation.path_of("facts"))).run()
    app.selectbox(key="facts_place").set_value("patterns").run()
    save = say("front.grid.save", name=say("front.part.patterns"))
    typed[1] = {"molds_per_year": "many"}
    next(button for button in app.button if button.label == save).click().run()
    assert not app.exception and "many" in "".join(text.value for text in app.markdown)
    assert "number" in told[-1][1] and not told[-1][0], "the fault stands in the row of its cell"
    assert any("2" in text.value and "Molds made per year" in text.value for text in app.markdown)
    revision = book.revision(DEMO)
    typed[1] = {"molds_per_year": "31000", "molds_per_year_low": "", "molds_per_year_high": ""}
    next(button for button in app.button if button.label == save).click().run()
    assert not app.exception and book.revision(DEMO) == revision + 1
    assert book.open(DEMO).patterns[1].molds_per_year.likely == 31_000.0
    why = book.trail(DEMO)[0].why
    assert "31000" in why and "\N{RIGHTWARDS ARROW}" in why and "Molds made per year" in why


def pasted(page, rows, *, row=0):
    """Paste rows of cells, as a spreadsheet copies them, into the grid from its first column on."""
    page.evaluate("text => navigator.clipboard.writeText(text)", "\n".join("\t".join(cells) for cells in rows))
    grid = page.locator("[data-testid=stDataFrame]").first
    grid.scroll_into_view_if_needed()
    page.wait_for_function("document.querySelector('canvas td[id^=glide-cell-]')")
    left = page.evaluate(FIRST_COLUMN)
    box = grid.locator("canvas[data-testid=data-grid-canvas]").bounding_box()
    page.mouse.click(box["x"] + left, box["y"] + ROW_PX * (row + 1.5))
    page.keyboard.press("Control+v")


ROW_PX = 35
"""Height of a row of the grid, as the framework draws it."""
FIRST_COLUMN = "document.querySelector('[data-testid=stDataFrame]').clientWidth / 4"
