"""Whole journeys through the pages in Chromium, one for each user, by keyboard and by touch."""

import io
import os
import zipfile
from pathlib import Path

import openpyxl
import pikepdf
import pytest
from browsers import settled
from floor import until

from coreset.book.presses import Press

pytestmark = pytest.mark.browser
DEMO = "ostrander_bend"
SLOW_MS = 45_000


def kept(page, name):
    """Keep a picture as output of the test, where somebody wants it."""
    if folder := os.environ.get("CORESET_PICTURES"):
        page.screenshot(path=str(Path(folder) / f"journey-{name}.png"), full_page=True)


def view(chromium, *, width, dark, touch=False):
    """A page on a desk or a tablet."""
    context = chromium.new_context(
        viewport={"width": width, "height": 1000},
        color_scheme="dark" if dark else "light",
        has_touch=touch,
        accept_downloads=True,
        locale="en-GB",
    )
    context.set_default_timeout(SLOW_MS)
    return context.new_page()


def tab_to(page, locator, presses=80):
    """Move by the Tab key until something has the focus."""
    for _ in range(presses):
        if locator.evaluate("node => node.contains(document.activeElement) || node === document.activeElement"):
            return
        page.keyboard.press("Tab")
    raise AssertionError("not reached by the Tab key")


def taken(page, label):
    """What a download button gives when Enter is pressed on it."""
    button = page.get_by_role("button", name=label)
    tab_to(page, button)
    with page.expect_download(timeout=SLOW_MS) as download:
        page.keyboard.press("Enter")
    return Path(download.value.path()).read_bytes()


def test_the_manager_prices_and_takes_the_brief_along_by_keyboard(app, chromium):
    """Keyboard only, desk, light: change the price on Facts, read the answer on Brief, take PDF, workbook and data."""
    server, book = app
    book.keep("copy", book.open(DEMO), who="T1", why="test")
    page = view(chromium, width=1280, dark=False)
    page.goto(f"{server.url}/facts?case=copy")
    settled(page)
    place = page.get_by_role("combobox").first
    tab_to(page, place)
    page.keyboard.type("Prices")
    page.keyboard.press("Enter")
    likely = page.get_by_label("likely").first
    likely.wait_for()
    settled(page)
    tab_to(page, likely)
    page.keyboard.press("Control+a")
    page.keyboard.type("900000")
    high = page.get_by_label("high").first
    tab_to(page, high)
    page.keyboard.press("Control+a")
    page.keyboard.type("950000")
    tab_to(page, page.get_by_role("button", name="Keep"), presses=200)
    page.keyboard.press("Enter")
    page.get_by_text("Prices, wages, rules changed").first.wait_for()
    assert book.open("copy").money.setter_price.likely == 900_000
    kept(page, "manager-facts")
    page.goto(f"{server.url}/brief?case=copy")
    settled(page)
    page.get_by_text("not pay").first.wait_for()
    kept(page, "manager-brief")
    with pikepdf.open(io.BytesIO(taken(page, "Brief, two pages (PDF)"))) as paper:
        assert len(paper.pages) == 2
    assert "Cash flow" in openpyxl.load_workbook(io.BytesIO(taken(page, "Workbook (XLSX)"))).sheetnames
    with zipfile.ZipFile(io.BytesIO(taken(page, "Data and charts (ZIP)"))) as pack:
        assert {"standards.csv", "assessment.json", "chart_cash_flow.svg"} <= set(pack.namelist())
    page.context.close()


def typed(page, label, value):
    """Put a value into a field by touch."""
    field = page.get_by_label(label, exact=True).first
    field.tap()
    field.fill(str(value))
    field.blur()


def chosen(page, place, words):
    """Choose from a list by touch."""
    page.get_by_role("combobox").nth(place).tap()
    page.get_by_role("option", name=words).first.tap()
    settled(page)


def keep(page, done):
    """Tap Keep until it is kept: a first tap may only end the typing on a slow machine."""
    for _ in range(4):
        page.get_by_role("button", name="Keep").tap()
        if until(done, seconds=12):
            return
    raise AssertionError("what was typed was not kept")


@pytest.mark.slow
def test_the_coordinator_adds_a_lift_and_mends_it_by_touch(app, chromium):
    """Touch only, tablet, dark: add a task on Facts, find it on Handling, bring it nearer, find it lower, undo."""
    server, book = app
    book.keep("touch", book.open(DEMO), who="T1", why="test")
    page = view(chromium, width=820, dark=True, touch=True)
    page.goto(f"{server.url}/facts?case=touch")
    settled(page)
    chosen(page, 0, "Lifts")
    chosen(page, 1, "a new one")
    typed(page, "Short name of the task, unlike any other of the case", "box to bench")
    typed(page, "Method that it belongs to", "manual")
    typed(page, "Pattern that it is done for", "VB24")
    typed(page, "Load, if it is not the mass of one core, kg", 8)
    typed(page, "Lifts for one mold", 1)
    typed(page, "H at the origin, mid-ankles to hands, cm", 60)
    typed(page, "V at the origin, floor to hands, cm", 70)
    typed(page, "H at the destination, cm", 60)
    typed(page, "V at the destination, cm", 80)
    keep(page, lambda: book.open("touch").lifts[-1].task == "box to bench")
    page.goto(f"{server.url}/handling?case=touch")
    settled(page)
    page.get_by_text("box to bench").first.wait_for(state="attached")
    kept(page, "coordinator-handling")
    page.goto(f"{server.url}/facts?case=touch")
    settled(page)
    chosen(page, 0, "Lifts")
    chosen(page, 1, "VB24 box to bench")
    typed(page, "H at the destination, cm", 30)
    keep(page, lambda: book.open("touch").lifts[-1].horizontal_destination == 30)
    page.goto(f"{server.url}/?case=touch")
    settled(page)
    page.get_by_role("button", name="Undo").tap()
    page.get_by_text("Undone.").first.wait_for()
    assert book.open("touch").lifts[-1].horizontal_destination == 60
    kept(page, "coordinator-case")
    page.context.close()


def sitting(names, cycles=12):
    """Presses of a clock: in, first element, an end for each element of each cycle, out."""
    moments, at = [("start", 0.0, 0, ""), ("first", 1.0, 1, names[0])], 1.0
    for cycle in range(1, cycles + 1):
        for i, name in enumerate(names):
            at += 3.0 + i + 0.1 * (cycle % 4)
            moments.append(("end", at, cycle, name))
    moments.append(("stop", at + 1.0, 0, ""))
    start_ms = 1_780_000_000_000.0
    return [
        Press(seq=n, kind=kind, clock_s=s, wall_ms=start_ms + 1000 * s, cycle=cycle, element=element)
        for n, (kind, s, cycle, element) in enumerate(moments, start=1)
    ]


def test_a_newcomer_begins_on_the_guide_by_touch(app, chromium):
    """Touch, tablet: the guide starts a practice case; after twelve cycles it tells the standard time."""
    server, book = app
    page = view(chromium, width=820, dark=False, touch=True)
    page.goto(f"{server.url}/guide")
    settled(page)
    page.get_by_role("button", name="Start the practice case").tap()
    page.get_by_text("Now time the practice job").first.wait_for()
    assert book.revision("practice")
    names = [element.name for element in book.open("practice").studies[0].elements]
    book.take("practice", "PRACTICE-H1", "tablet-1", sitting(names))
    page.goto(f"{server.url}/guide?case=practice")
    settled(page)
    page.get_by_text("Your first standard time").first.wait_for()
    kept(page, "newcomer-guide")
    page.context.close()
