"""The desk around the clock: a study begun, corrected, signed, opened anew, brought in from a table and taken out."""

import pytest
from browsers import opened, settled
from floor import press, state, until

pytestmark = pytest.mark.browser


def show(page, floor, view, study="S1"):
    """Open one view of Timing."""
    floor.known(page)
    page.goto(f"{floor.app.url}/timing?case={floor.case}&study={study}&view={view}")
    settled(page)


def field(page, label):
    """The field of that label; its help has a label of its own."""
    return page.get_by_role("textbox", name=label)


def timed(page, floor, cycles=2):
    """Cycles of S1, stopped and stored."""
    floor.open(page)
    press(page, *["Space"] * (3 * cycles + 2), "e", "e")
    assert until(lambda: ("stop", "") in floor.kinds(), page=page)


def test_a_reading_is_corrected_signed_and_opened_anew(page, floor):
    """The raw press stays; the trail names who and why; the signature locks; the new version is open."""
    timed(page, floor)
    raw = floor.stored()
    show(page, floor, "readings")
    page.get_by_label("Why", exact=True).fill("core dropped")
    page.get_by_role("button", name="Save correction").click()
    assert until(lambda: floor.study().corrections, page=page)
    made = floor.study().corrections[0]
    assert (made.action, made.who, made.why) == ("exclude", "OB7", "core dropped")
    assert floor.stored() == raw
    page.get_by_role("cell", name="core dropped").wait_for()
    show(page, floor, "sign")
    field(page, "Signed by, as a code").fill("AP1")
    page.get_by_role("button", name="Sign and lock").click()
    assert until(lambda: floor.study().signed.startswith("AP1"), page=page)
    show(page, floor, "sign")
    field(page, "Why a new version").fill("re-rated")
    page.get_by_role("button", name="Open a new version").click()
    assert until(lambda: "S1-v2" in {s.study for s in floor.book.open(floor.case).studies}, page=page)
    assert floor.study("S1-v2").signed == ""


def test_an_outlier_is_picked_in_the_chart_and_excluded(page, floor):
    """A click on a point chooses its reading in the form beside the chart; excluded, the chart shows it as such."""
    timed(page, floor, cycles=4)
    show(page, floor, "readings")
    page.locator("[data-testid=stVegaLiteChart] path[aria-roledescription=point][aria-label*='cycle: 3']").click()
    box = page.locator("[data-testid=stForm]").get_by_role("combobox", name="Reading", exact=True)
    assert until(lambda: ", cycle 3, " in box.input_value(), page=page), box.input_value()
    picked = int(box.input_value().removeprefix("no. ").split(",")[0])
    page.get_by_label("Why", exact=True).fill("core dropped")
    page.get_by_role("button", name="Save correction").click()
    assert until(lambda: floor.study().corrections, page=page)
    assert [(c.seq, c.action) for c in floor.study().corrections] == [(picked, "exclude")]
    page.get_by_text("with the excluded readings").wait_for()


def test_a_correction_without_a_reason_is_refused(page, floor):
    """Nothing is excluded without a why; the page says so and goes on."""
    timed(page, floor)
    show(page, floor, "readings")
    page.get_by_role("button", name="Save correction").click()
    page.get_by_text("A correction needs a reason").wait_for()
    assert floor.study().corrections == ()


UNIT = "The sheet does not say the unit of its times"
"""Beginning of the question that a sheet without a unit raises."""


def test_a_study_is_begun_and_filled_from_a_table(page, floor, tmp_path):
    """A new study, readings in minutes with a decimal comma under foreign heads; columns and answer are remembered."""
    file = tmp_path / "theirs.csv"
    file.write_text("Step;Uhr;Cycle\nfetch;0,10;1\nset;0,35;1\nfetch;0,50;2\nset;0,80;2\n", encoding="utf-8")
    for code in ("N1", "N2"):
        show(page, floor, "exchange")
        page.get_by_text("New study").first.click()
        for label, text in {"Code of the study": code, "Observer, by code": "OB1", "Operator, by code": "OP1"}.items():
            field(page, label).fill(text)
        field(page, "Elements in the order of the work").fill("fetch\nset\nblow off (occasional)")
        page.get_by_role("button", name="Create study").click()
        assert until(lambda code=code: code in {s.study for s in floor.book.open(floor.case).studies}, page=page)
        show(page, floor, "exchange", code)
        page.locator("input[type=file]").set_input_files(file)
        page.get_by_text("Sheet, head row and columns").wait_for()  # open, since no head was recognized
        if code == "N1":
            pick(page, "Column for Reading", "Uhr")
            pick(page, "Column for Element", "Step")
            pick(page, UNIT, "minutes")
        page.get_by_text("What will be read: 4 readings in 2 cycles").wait_for()
        page.get_by_role("button", name="Bring these readings in").click()
        assert until(lambda code=code: len(floor.study(code).readings) == 4, page=page)
        assert floor.study(code).readings.reading_s == (6.0, 21.0, 30.0, 48.0)
        assert [e.name for e in floor.study(code).elements] == ["fetch", "set", "blow off"]


def pick(page, label, choice):
    """Pick from a list."""
    opened(page, label)
    page.get_by_role("option", name=choice, exact=True).click()


def test_a_table_with_faults_is_refused_in_words(page, floor, tmp_path):
    """Row, column, what was found and what was expected; nothing is brought in."""
    file = tmp_path / "broken.csv"
    file.write_text("element,reading\nfetch core,one\n", encoding="utf-8")
    show(page, floor, "exchange", "S2")
    page.locator("input[type=file]").set_input_files(file)
    pick(page, UNIT, "seconds")
    page.get_by_text("row 2, column reading_s: found one, expected seconds").wait_for()
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
    """A field typed into the header is in the book with who, when and why, and no longer among those lacking."""
    show(page, floor, "header")
    lacking = page.get_by_text("Missing from the study header").filter(has_text="department and operation")
    lacking.wait_for()
    field(page, "Department and operation").fill("molding, line 2")
    page.get_by_role("button", name="Save header").click()
    assert until(lambda: floor.study().department == "molding, line 2", page=page)
    lacking.wait_for(state="detached")
    change = floor.book.study_trail(floor.case, "S1")[0]
    assert (change.who, change.why) == ("OB7", "S1: department and operation: (nothing) \u2192 molding, line 2")


def test_elements_are_edited_once_readings_exist(page, floor):
    """Renamed in its place an element keeps its readings, the raw presses stay, and the trail says who and why."""
    timed(page, floor)
    raw = floor.stored()
    show(page, floor, "elements")
    field(page, "Element 1: Element").fill("lift out core")
    field(page, "Element 1: Breakpoint").fill("core clear of the rack")
    page.get_by_label("Element 3: Times for one mold").fill("0.25")
    field(page, "Element 5: Element").fill("spray")
    page.get_by_role("checkbox", name="Element 5: Occasional").locator("xpath=ancestor::label").click()
    page.get_by_role("button", name="Save elements").click()
    page.get_by_text("Readings exist already").wait_for()
    assert floor.study().elements[0].name == "fetch core"
    field(page, "Why").fill("the rack was moved")
    page.get_by_role("button", name="Save elements").click()
    assert until(lambda: len(floor.study().elements) == 5, page=page)
    found = floor.study()
    assert [(e.name, e.earlier, e.per_mold, e.occasional) for e in found.elements] == [
        ("lift out core", ("fetch core",), None, False),
        ("set core", (), None, False),
        ("blow off", (), 0.25, True),
        ("close mold", (), None, False),
        ("spray", (), None, True),
    ]
    assert found.elements[0].breakpoint == "core clear of the rack"
    assert floor.stored() == raw and raw[2].element == "fetch core"
    assert found.readings.element == ("lift out core", "set core", "close mold") * 2
    change = floor.book.study_trail(floor.case, "S1")[0]
    assert change.who == "OB7"
    assert "element 1, name of the element: fetch core \u2192 lift out core" in change.why
    assert change.why.endswith("Reason: the rack was moved")
    page.get_by_role("cell", name="the rack was moved").wait_for()


def test_an_edit_that_would_move_readings_is_refused(page, floor):
    """Taking out an element that has readings is refused in words; the study stays as it was."""
    timed(page, floor)
    before = floor.study()
    show(page, floor, "elements")
    field(page, "Element 2: Element").fill("")
    field(page, "Why").fill("not needed")
    page.get_by_role("button", name="Save elements").click()
    page.get_by_text("element 2 of study 'S1' must stay 'set core'").wait_for()
    assert floor.study() == before


def test_an_element_is_renamed_while_it_is_timed(page, floor):
    """The sitting goes on under the new name: what was pressed counts for it, and the next one is foreseen."""
    floor.open(page)
    press(page, *["Space"] * 4)
    assert until(lambda: floor.count() == 4, page=page)
    show(page, floor, "elements")
    field(page, "Element 1: Element").fill("lift out core")
    field(page, "Why").fill("clearer")
    page.get_by_role("button", name="Save elements").click()
    assert until(lambda: floor.study().elements[0].name == "lift out core", page=page)
    floor.open(page)
    assert state(page) == "running"
    assert "1 \u00b7 lift out core" in page.locator(".last").inner_text()
    press(page, "Space", "Space", "e", "e")
    assert until(lambda: ("stop", "") in floor.kinds(), page=page)
    assert floor.study().readings.element == ("lift out core", "set core", "close mold", "lift out core")


def test_a_signature_on_a_second_sitting_locks_the_page_of_the_first(page, floor):
    """Signed where S1.2 is shown, S1 takes no press, correction or header; the new version has both sittings."""
    timed(page, floor)
    floor.open(page)
    press(page, *["Space"] * 3, "e", "e")
    assert until(lambda: len(floor.devices()) == 2, page=page)
    assert until(lambda: [s.study for s in floor.book.open(floor.case).studies] == ["S1", "S1.2", "S2"], page=page)
    show(page, floor, "sign", "S1.2")
    page.get_by_text("S1 with 6 readings, S1.2 with 1 readings").wait_for()
    field(page, "Signed by, as a code").fill("AP1")
    page.get_by_role("button", name="Sign and lock").click()
    assert until(lambda: floor.study().signed.startswith("AP1"), page=page)
    count = floor.count()
    for code in ("S1", "S1.2"):
        page.goto(f"{floor.app.url}/timing?case={floor.case}&study={code}")
        page.locator(".clock[data-live]").wait_for()
        assert state(page) == "locked"
        press(page, "Space", "Space")
        for view, button in {"readings": "Save correction", "header": "Save header"}.items():
            show(page, floor, view, code)
            assert page.get_by_role("button", name=button).is_disabled()
        show(page, floor, "elements", code)
        assert page.get_by_role("button", name="Save elements").is_disabled()
    assert floor.count() == count
    show(page, floor, "sign", "S1.2")
    field(page, "Why a new version").fill("more cycles")
    page.get_by_role("button", name="Open a new version").click()
    assert until(lambda: "S1-v2.2" in {s.study for s in floor.book.open(floor.case).studies}, page=page)
    assert [len(floor.study(code).readings) for code in ("S1-v2", "S1-v2.2")] == [6, 1]


def test_no_press_without_a_code(page, floor):
    """Nothing is taken from nobody; once given the code is with the presses, and remembered after a reload."""
    page.goto(f"{floor.app.url}/timing?case={floor.case}&study=S1")
    page.locator(".clock[data-live]").wait_for()
    settled(page)
    assert field(page, "Your code").input_value() == ""
    assert page.locator(".next").is_disabled()
    press(page, "Space", "Space")
    assert page.locator(".clock").get_attribute("data-durable") == "0"
    field(page, "Your code").fill("  ")
    field(page, "Your code").press("Enter")
    settled(page)
    assert page.locator(".next").is_disabled()
    field(page, "Your code").fill("Anna Example")
    field(page, "Your code").press("Enter")
    page.get_by_text("A name seems to be entered where").wait_for()
    field(page, "Your code").fill("OB9")
    field(page, "Your code").press("Enter")
    page.get_by_text("A name seems to be entered where").wait_for(state="detached")
    page.locator(".clock[data-who=OB9]").wait_for()
    page.locator(".next:enabled").click()
    assert until(lambda: floor.count() == 1, page=page)
    assert floor.study().taken_by == "OB9"
    page.once("dialog", lambda dialog: dialog.accept())
    page.goto(f"{floor.app.url}/timing?case={floor.case}&study=S2")
    page.locator(".clock[data-live]").wait_for()
    settled(page)
    assert field(page, "Your code").input_value() == "OB9"
    assert page.locator(".next").is_enabled()


def test_no_change_without_a_code(page, floor):
    """A correction, a header or a new study from nobody is refused in words."""
    timed(page, floor)
    page.context.clear_cookies()
    for view, button in {"readings": "Save correction", "header": "Save header"}.items():
        page.goto(f"{floor.app.url}/timing?case={floor.case}&study=S1&view={view}")
        settled(page)
        if view == "header":
            field(page, "Department and operation").fill("molding")
        page.get_by_role("button", name=button).click()
        page.get_by_text("Enter your code first").first.wait_for()
    assert floor.study().corrections == () and floor.study().department == ""


SMALL = """() => [...document.querySelectorAll('.st-key-floor-desk :is(button, input:not([type=checkbox]'
  + ', [type=radio], [type=file]), textarea, summary, [data-testid=stCheckbox] label, [data-testid=stRadio] label)')]
  .filter(e => e.checkVisibility() && !e.closest('[data-testid=stTooltipIcon], [data-testid=stElementToolbar], .clock'))
  .map(e => e.closest('[data-testid=stTextInputRootElement], [data-testid=stNumberInputContainer], [role=group]') || e)
  .filter(e => { const r = e.getBoundingClientRect(); return r.width && Math.min(r.width, r.height) < 64; })
  .map(e => e.outerHTML.slice(0, 160))"""


@pytest.mark.parametrize("view", ["readings", "elements", "header", "exchange", "sign"])
def test_targets_around_the_clock_fit_a_glove(page, floor, view):
    """What is touched between two sittings is at least 64 px each way, as on the clock itself."""
    timed(page, floor)
    show(page, floor, view)
    page.locator(".st-key-floor-desk button:visible").first.wait_for()
    assert page.evaluate(SMALL) == []
