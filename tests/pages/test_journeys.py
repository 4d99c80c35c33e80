"""Whole journeys through the pages in Chromium, one for each user, by keyboard and by touch."""

import io
import math
import os
import re
import time
import zipfile
from pathlib import Path

import openpyxl
import pikepdf
import pytest
from browsers import opened, settled
from floor import keep, until

from coreset.study.report.practice_case import NAME, practice_case

pytestmark = pytest.mark.browser
DEMO = "ostrander_bend"
SLOW_MS = 45_000
CYCLES = 10
FIVE_MINUTES_S = 300
TRACK_PX = 6
"""Half a knob: by so much the track of a slider ends before its box."""
DESK, TABLET = 1280, 820
LONG = pytest.mark.long
VIEWS = pytest.mark.parametrize(
    ("width", "dark"),
    [
        pytest.param(DESK, False, id="desk-light"),
        pytest.param(TABLET, True, id="tablet-dark", marks=pytest.mark.long),
        pytest.param(DESK, True, id="desk-dark", marks=LONG),
        pytest.param(TABLET, False, id="tablet-light", marks=LONG),
    ],
)
"""Each journey goes at both widths and in both lights, each of them once; crossed by `-m long`."""
LIVE = re.compile(r"Index ([\d.]+) with these values")


def kept(page, name):
    """Keep a picture as output of the test, where somebody wants it."""
    if folder := os.environ.get("CORESET_PICTURES"):
        page.screenshot(path=str(Path(folder) / f"journey-{name}.png"), full_page=True)


def own_name(stem, width, dark):
    """A name that no other run of a journey has."""
    return f"{stem}-{width}-{'dark' if dark else 'light'}"


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


@VIEWS
def test_the_manager_prices_and_takes_the_brief_along_by_keyboard(app, chromium, width, dark):
    """Keyboard only: a price above the budget on Facts, its answer on Brief, PDF, workbook and data."""
    server, book = app
    case = own_name("copy", width, dark)
    book.keep(case, book.open(DEMO), who="T1", why="test")
    page = view(chromium, width=width, dark=dark)
    page.goto(f"{server.url}/facts?case={case}")
    settled(page)
    tab_to(page, page.get_by_role("textbox", name="Your code"))
    page.keyboard.type("PM1")
    page.keyboard.press("Enter")
    settled(page)
    place = page.get_by_role("combobox").first
    tab_to(page, place)
    page.keyboard.type("Prices")
    page.keyboard.press("Enter")
    likely = page.get_by_role("spinbutton", name="Price of the setter, delivered, USD").first
    likely.wait_for()
    settled(page)
    tab_to(page, likely)
    page.keyboard.press("Control+a")
    page.keyboard.type("900000")
    tab_to(page, page.get_by_role("button", name="Range 165,000 to 225,000"))
    page.keyboard.press("Enter")
    high = page.get_by_role("spinbutton", name="high").first
    high.wait_for()
    tab_to(page, high)
    page.keyboard.press("Control+a")
    page.keyboard.type("950000")
    page.keyboard.press("Escape")
    tab_to(page, page.get_by_role("button", name="Save", exact=True), presses=200)
    page.keyboard.press("Enter")
    page.get_by_text("Price of the setter, delivered, USD 165000 / 185000 / 225000").first.wait_for()
    assert book.open(case).money.setter_price.likely == 900_000 and book.trail(case)[0].who == "PM1"
    kept(page, own_name("manager-facts", width, dark))
    page.goto(f"{server.url}/brief?case={case}")
    settled(page)
    page.get_by_text("Not feasible").first.wait_for()
    kept(page, own_name("manager-brief", width, dark))
    with pikepdf.open(io.BytesIO(taken(page, "Brief, two pages (PDF)"))) as paper:
        assert len(paper.pages) == 2
    assert "Cash flow" in openpyxl.load_workbook(io.BytesIO(taken(page, "Workbook (XLSX)"))).sheetnames
    with zipfile.ZipFile(io.BytesIO(taken(page, "Data (ZIP)"))) as pack:
        assert {"standards.csv", "assessment.json", "chart_cash_flow.svg"} <= set(pack.namelist())
    page.context.close()


def typed(page, label, value):
    """Put a value into a field by touch."""
    field = page.get_by_label(re.compile(f"^{re.escape(label)}")).first
    field.tap()
    field.fill(str(value))
    field.blur()


def chosen(page, label, words, *, exact=True):
    """Choose from the list of that label by touch; done when the list shows it and the page is drawn anew.

    A list is found by its label, not by its place: while a page is drawn anew another one may stand there.
    """
    box = opened(page, label, touch=True, exact=exact)
    page.get_by_role("option", name=words, exact=True).tap()
    page.wait_for_function("([node, words]) => node.value === words", arg=[box.element_handle(), words])
    page.wait_for_timeout(300)
    settled(page)


@VIEWS
def test_the_coordinator_adds_a_lift_and_mends_it_by_touch(app, chromium, width, dark):
    """Touch only: add a task on Facts, mend it on Handling until its index is 1, keep it, undo."""
    server, book = app
    case = own_name("touch", width, dark)
    book.keep(case, book.open(DEMO), who="T1", why="test")
    page = view(chromium, width=width, dark=dark, touch=True)
    page.goto(f"{server.url}/facts?case={case}&place=lifts")
    settled(page)
    typed(page, "Your code", "SC1")
    settled(page)
    chosen(page, "Which one", "a new one")
    typed(page, "Short name of the task, unlike any other of the case", "box to bench")
    chosen(page, "Method that it belongs to", "manual", exact=False)
    chosen(page, "Pattern that it is done for", "VB24", exact=False)
    typed(page, "Load, if it is not the mass of one core, kg", 14)
    typed(page, "Lifts for one mold, lifts/mold", 1)
    page.get_by_role("tab", name="Origin", exact=True).tap()
    typed(page, "H at the origin, mid-ankles to hands, cm", 60)
    typed(page, "V at the origin, floor to hands, cm", 70)
    page.get_by_role("tab", name="Destination and grip").tap()
    typed(page, "H at the destination, cm", 60)
    typed(page, "V at the destination, cm", 80)
    keep(page, lambda: book.open(case).lifts[-1].task == "box to bench", touch=True)
    kept(page, own_name("coordinator-facts", width, dark))
    page.goto(f"{server.url}/handling?case={case}")
    settled(page)
    page.get_by_role("tab", name="Redesign").tap()
    chosen(page, "Task", next(name for name in offered(page, "Task") if "box to bench" in name))
    assert until(lambda: 1 < live_index(page) < math.inf, page=page, seconds=60)
    slid(page, "Reach at the origin, H [cm]", 27)
    reach = slid(page, "Reach at the destination, H [cm]", 27)
    slid(page, "Load, L [kg]", 3)
    assert reach < 40
    assert until(lambda: live_index(page) <= 1, page=page, seconds=60)
    kept(page, own_name("coordinator-handling", width, dark))
    page.get_by_role("button", name="Save these values in the case").tap()
    assert until(lambda: book.open(case).lifts[-1].horizontal_destination == reach, page=page, seconds=60)
    page.goto(f"{server.url}/?case={case}")
    settled(page)
    page.get_by_role("button", name="Undo the last change").tap()
    page.get_by_text("Undone.").first.wait_for()
    assert {row.who for row in book.trail(case)} == {"T1", "SC1"}
    assert book.open(case).lifts[-1].horizontal_destination == 60
    kept(page, own_name("coordinator-case", width, dark))
    page.context.close()


def offered(page, label):
    """What a list offers."""
    opened(page, label, touch=True, exact=True)
    names = page.get_by_role("option").all_inner_texts()
    page.keyboard.press("Escape")
    return names


def live_index(page):
    """Index that the sentence over the side view tells."""
    said = page.get_by_text(LIVE).all_inner_texts()
    return float(LIVE.search(said[0])[1]) if said else math.inf


def slid(page, label, value):
    """Move a slider by touching its track where the value is, as near as a finger comes."""
    knob = page.locator(f"input[type=range][aria-label='{label}']")  # its whole name says the label twice
    low, high = (float(knob.get_attribute(end)) for end in ("min", "max"))
    track = page.locator("[data-testid=stSlider]", has=knob)
    track.scroll_into_view_if_needed()
    box = track.bounding_box()
    share = (value - low) / (high - low)
    page.touchscreen.tap(box["x"] + TRACK_PX + share * (box["width"] - 2 * TRACK_PX), box["y"] + box["height"] - 12)
    page.wait_for_timeout(300)
    settled(page)
    return float(knob.get_attribute("aria-valuetext"))


@VIEWS
def test_the_engineer_brings_readings_in_and_excludes_one_by_keyboard(app, chromium, tmp_path, width, dark):
    """A file with heads of his own, one reading set aside with a reason, a standard with its interval."""
    server, book = app
    case = own_name("engineer", width, dark)
    book.keep(case, practice_case(), who="T1", why="test")
    names = [element.name for element in book.open(case).studies[0].elements]
    clock, lines = 0.0, ["Arbeitsgang;Runde;Uhr"]
    for cycle in range(1, 13):
        for at, name in enumerate(names):
            clock += 3.0 + at + 0.1 * (cycle % 4)
            lines.append(f"{name};{cycle};{clock:.2f}".replace(".", ","))
    (tmp_path / "theirs.csv").write_text("\n".join(lines), encoding="utf-8")
    page = view(chromium, width=width, dark=dark)
    page.context.add_cookies([{"name": "coreset_who", "value": "OB7", "url": server.url}])
    page.goto(f"{server.url}/timing?case={case}&view=exchange")
    settled(page)
    page.locator("input[type=file]").set_input_files(tmp_path / "theirs.csv")
    page.get_by_text("Sheet, head row and columns").wait_for()  # open, since no head was recognized
    for label, head in (("Element", "Arbeitsgang"), ("Cycle", "Runde"), ("Reading", "Uhr")):
        picked(page, f"Column for {label}", head)
    picked(page, "The sheet does not say the unit of its times", "seconds")
    page.get_by_text("What will be read: 36 readings in 12 cycles").wait_for()
    kept(page, own_name("engineer-import", width, dark))
    tab_to(page, page.get_by_role("button", name="Bring these readings in"))
    page.keyboard.press("Enter")
    assert until(lambda: len(book.open(case).studies[0].readings) == 36, page=page, seconds=60)
    page.goto(f"{server.url}/timing?case={case}&view=readings")
    settled(page)
    why = page.get_by_role("textbox", name="Why", exact=True)
    tab_to(page, why)
    page.keyboard.type("core dropped")
    tab_to(page, page.get_by_role("button", name="Save correction"))
    page.keyboard.press("Enter")
    assert until(lambda: book.open(case).studies[0].corrections, page=page, seconds=60)
    made = book.open(case).studies[0].corrections[0]
    assert (made.action, made.who, made.why) == ("exclude", "OB7", "core dropped")
    kept(page, own_name("engineer-correction", width, dark))
    page.goto(f"{server.url}/standard?case={case}")
    settled(page)
    answer = page.locator("[data-testid=stMarkdown] strong").first
    answer.wait_for()
    assert re.search(r"\d+\.\d", answer.inner_text())
    kept(page, own_name("engineer-standard", width, dark))
    page.context.close()


def picked(page, label, head):
    """Pick from a list by keyboard."""
    box = page.get_by_role("combobox", name=label)
    tab_to(page, box)
    page.keyboard.type(head)
    page.keyboard.press("Enter")
    page.wait_for_function("([node, head]) => node.value === head", arg=[box.element_handle(), head])
    page.wait_for_timeout(300)
    settled(page)


@VIEWS
def test_a_newcomer_reaches_a_first_standard_time_by_touch(app, chromium, width, dark):
    """Touch: the guide, ten cycles on the clock, the standard; within five minutes."""
    server, book = app
    page, begun = view(chromium, width=width, dark=dark, touch=True), time.monotonic()
    code = own_name("nc", width, dark)
    before = {row.case_id for row in book.cases()}
    page.context.add_cookies([{"name": "coreset_who", "value": code, "url": server.url}])
    page.goto(f"{server.url}/guide?case={DEMO}")
    settled(page)
    page.get_by_role("button", name="Start the practice case").tap()
    page.get_by_text("Now time the practice job").first.wait_for()
    own = next(row.case_id for row in book.cases() if row.case_id not in before)
    assert own.startswith(NAME) and book.trail(own)[-1].who == code
    page.get_by_role("link", name="Go to Clock").tap()
    page.locator(".clock[data-live]").wait_for()
    following = page.locator(".clock .next")
    for _ in range(2 + 3 * CYCLES):
        following.tap()
        page.wait_for_timeout(120)
    stored = lambda: sum(len(presses) for presses in book.presses(own, "PRACTICE-H1").values())  # noqa: E731
    assert until(lambda: stored() >= 2 + 3 * CYCLES, page=page, seconds=60)
    kept(page, own_name("newcomer-clock", width, dark))
    page.goto(f"{server.url}/guide?case={own}")
    settled(page)
    page.get_by_text("Your first standard time").first.wait_for()
    kept(page, own_name("newcomer-guide", width, dark))
    assert time.monotonic() - begun < FIVE_MINUTES_S
    page.context.close()
