"""Setup: the grid of a list in its page: faults by row and column, saved rows, the old values in the change log."""

import pytest
from browsers import settled
from streamlit.testing.v1 import AppTest

from coreset.brief.case_status import empty_case
from coreset.forms.grid import MARK, grid_columns
from coreset.text import say
from coreset.web import navigation

DEMO = "ostrander_bend"


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


ROW_PX, INTO_FIRST_COLUMN_PX = 35, 130
"""Height of a row as the framework draws it; a place within the first column, right of the numbers of the rows."""
ROWS, WRONG_ROW = 200, 150


@pytest.mark.browser
def test_two_hundred_rows_are_pasted_and_the_fault_is_led_to_in_its_cell(app, chromium):
    """By the clipboard of a browser: 200 rows, a word for a number in row 150; its cell has the mark, is in view and
    chosen, so that the number typed next takes its place; the bar with Save is in view all the time."""
    server, book = app
    case = "pasted"
    book.keep(case, empty_case(case), who="T1", why="test")
    columns = [one.name for one in grid_columns(book.open(case), "patterns") if one.in_use]
    volume = columns.index("molds_per_year")
    rows = [[{"pattern": f"P{at}"}.get(name, str(1000 + at)) for name in columns] for at in range(1, ROWS + 1)]
    rows[WRONG_ROW - 1][volume] = "many"
    context = chromium.new_context(
        viewport={"width": 1280, "height": 800}, permissions=["clipboard-read", "clipboard-write"]
    )
    page = context.new_page()
    page.set_default_timeout(60_000)
    context.add_cookies([{"name": "coreset_who", "value": "T1", "url": server.url}])
    page.goto(f"{server.url}/facts?case={case}&place=patterns")
    settled(page)
    page.locator("canvas td[id^=glide-cell-]").first.wait_for(state="attached")
    page.evaluate("text => navigator.clipboard.writeText(text)", "\n".join("\t".join(cells) for cells in rows))
    grid = page.locator("canvas[data-testid=data-grid-canvas]").first
    grid.scroll_into_view_if_needed()
    box = grid.bounding_box()
    page.mouse.click(box["x"] + INTO_FIRST_COLUMN_PX, box["y"] + ROW_PX * 1.5)
    page.keyboard.press("Control+v")
    page.wait_for_function(f"document.querySelector('canvas table').getAttribute('aria-rowcount') > {ROWS}")
    save = page.get_by_role("button", name=say("front.grid.save", name=say("front.part.patterns")))
    assert in_view(save)
    save.click()
    chosen = page.locator(f"canvas td[id$='-{WRONG_ROW - 1}'][aria-selected=true]", has_text=f"{MARK}many")
    chosen.wait_for(state="attached")
    assert in_view(page.get_by_test_id("stDataFrame").first) and in_view(save)
    page.keyboard.press("3")
    editor = page.locator("#portal :is(input, textarea)")
    editor.fill("31000")
    editor.press("Enter")
    page.locator(f"canvas td[id$='-{WRONG_ROW - 1}']", has_text="31000").wait_for(state="attached")
    settled(page)
    save.click()
    page.locator("[data-testid=stAlertContentSuccess]").wait_for()
    saved = book.open(case).patterns
    assert len(saved) == ROWS and saved[WRONG_ROW - 1].molds_per_year.likely == 31_000.0
    assert saved[-1].pattern == f"P{ROWS}" and saved[0].molds_per_year.likely == 1001.0
    context.close()


def in_view(locator):
    """Whether the middle of an element is on the screen, and nothing lies over it."""
    return locator.evaluate(
        "node => { const r = node.getBoundingClientRect(), x = r.left + r.width / 2, y = r.top + r.height / 2;"
        " const top = document.elementFromPoint(x, y); return !!top && (node.contains(top) || top.contains(node)); }"
    )
