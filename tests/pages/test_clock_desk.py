"""The desk around the clock: a study begun, corrected, signed, opened anew, brought in from a table and taken out."""

import pytest
from floor import press, until

pytestmark = pytest.mark.browser


def show(page, floor, view, study="S1"):
    """Open one view of Timing."""
    page.goto(f"{floor.app.url}/timing?case={floor.case}&study={study}&view={view}")
    page.get_by_text("New study").first.wait_for()
    page.locator("[data-testid=stApp][data-test-script-state=notRunning]").wait_for()


def timed(page, floor):
    """Two cycles of S1, stopped and stored."""
    floor.open(page)
    press(page, *["Space"] * 8, "e", "e")
    assert until(lambda: ("stop", "") in floor.kinds(), page=page)


def test_a_reading_is_corrected_signed_and_opened_anew(page, floor):
    """The raw press stays; the trail names who and why; the signature locks; the new version is open."""
    timed(page, floor)
    raw = floor.stored()
    show(page, floor, "readings")
    page.get_by_label("Why", exact=True).fill("core dropped")
    page.get_by_label("Your code").fill("OB7")
    page.get_by_role("button", name="Keep the correction").click()
    assert until(lambda: floor.study().corrections, page=page)
    made = floor.study().corrections[0]
    assert (made.action, made.who, made.why) == ("exclude", "OB7", "core dropped")
    assert floor.stored() == raw
    page.get_by_role("cell", name="core dropped").wait_for()
    show(page, floor, "sign")
    page.get_by_label("Signed by, as a code").fill("AP1")
    page.get_by_role("button", name="Sign and lock").click()
    assert until(lambda: floor.study().signed.startswith("AP1"), page=page)
    show(page, floor, "sign")
    page.get_by_label("Why a new version").fill("re-rated")
    page.get_by_role("button", name="Open a new version").click()
    assert until(lambda: "S1-v2" in {s.study for s in floor.book.open(floor.case).studies}, page=page)
    assert floor.study("S1-v2").signed == ""


def test_a_correction_without_a_reason_is_refused(page, floor):
    """Nothing is excluded without a why; the page says so and goes on."""
    timed(page, floor)
    show(page, floor, "readings")
    page.get_by_role("button", name="Keep the correction").click()
    page.get_by_text("A correction needs a reason").wait_for()
    assert floor.study().corrections == ()


def test_a_study_is_begun_and_filled_from_a_table(page, floor, tmp_path):
    """A new study, readings in minutes with a decimal comma under foreign heads; the mapping is remembered."""
    file = tmp_path / "theirs.csv"
    file.write_text("Step;Uhr;Cycle\nfetch;0,10;1\nset;0,35;1\nfetch;0,50;2\nset;0,80;2\n", encoding="utf-8")
    for code in ("N1", "N2"):
        show(page, floor, "exchange")
        page.get_by_text("New study").first.click()
        for label, text in {"Code of the study": code, "Observer, by code": "OB1", "Operator, by code": "OP1"}.items():
            page.get_by_label(label).fill(text)
        page.get_by_label("Elements in the order of the work").fill("fetch\nset\nblow off (occasional)")
        page.get_by_role("button", name="New study").last.click()
        assert until(lambda code=code: code in {s.study for s in floor.book.open(floor.case).studies}, page=page)
        show(page, floor, "exchange", code)
        page.locator("input[type=file]").set_input_files(file)
        page.get_by_text("Clock written as").wait_for()
        if code == "N1":
            pick(page, "Column for Reading", "Uhr")
            pick(page, "Clock written as", "minutes")
            page.get_by_text("Decimal comma").click()
        page.get_by_text("What will be read: 4 readings in 2 cycles").wait_for()
        page.get_by_role("button", name="Bring these readings in").click()
        assert until(lambda code=code: len(floor.study(code).readings) == 4, page=page)
        assert floor.study(code).readings.reading_s == (6.0, 21.0, 30.0, 48.0)
        assert [e.name for e in floor.study(code).elements] == ["fetch", "set", "blow off"]


def pick(page, label, choice):
    """Pick from a list."""
    page.get_by_label(label).click()
    page.get_by_role("option", name=choice, exact=True).click()


def test_a_table_with_faults_is_refused_in_words(page, floor, tmp_path):
    """Row, column, what was found and what was expected; nothing is brought in."""
    file = tmp_path / "broken.csv"
    file.write_text("element,reading\nfetch core,one\n", encoding="utf-8")
    show(page, floor, "exchange", "S2")
    page.locator("input[type=file]").set_input_files(file)
    page.get_by_text("row 2, column reading: found one, expected seconds").wait_for()
    assert len(floor.study("S2").readings) == 0


def test_readings_are_taken_out_as_files(page, floor):
    """The CSV that is downloaded holds every reading of the study."""
    timed(page, floor)
    show(page, floor, "exchange")
    with page.expect_download() as download:
        page.get_by_role("button", name="Readings as CSV").click()
    lines = download.value.path().read_text(encoding="utf-8").splitlines()
    assert lines[0] == "seq,cycle,element,reading_s,rating,mark,note"
    assert len(lines) == 1 + len(floor.study().readings)


def test_the_header_is_kept(page, floor):
    """A field typed into the header is in the book, and no longer among those that are lacking."""
    show(page, floor, "header")
    lacking = page.get_by_text("To be defended").filter(has_text="department and operation")
    lacking.wait_for()
    page.get_by_label("Department and operation").fill("molding, line 2")
    page.get_by_role("button", name="Keep the header").click()
    assert until(lambda: floor.study().department == "molding, line 2", page=page)
    lacking.wait_for(state="detached")
