"""Presses that do not fit, on the page: named, assigned, renamed, excluded; and a rename while a clock is open."""

import os
from pathlib import Path

import pytest
from browsers import opened, settled
from floor import press, unsent, until

from coreset.store.book.presses import Press

pytestmark = pytest.mark.browser

ROWS = [
    ("start", 0.0, 0, ""),
    ("first", 1.0, 0, ""),
    ("end", 4.0, 1, "fetch core"),
    ("end", 9.0, 1, "place core"),
    ("end", 12.0, 1, "close mold"),
    ("end", 15.0, 2, "fetch core"),
    ("end", 21.0, 2, "place core"),
    ("end", 24.0, 2, ""),
    ("stop", 25.0, 0, ""),
    ("end", 26.0, 3, "fetch core"),
]


def pressed():
    """A study in which a name is not that of an element, one press has none, and one came after the stop."""
    return [
        Press(seq=seq, kind=kind, clock_s=clock, wall_ms=1e12 + 1000 * clock, cycle=cycle, element=name)
        for seq, (kind, clock, cycle, name) in enumerate(ROWS, start=1)
    ]


def show(page, floor):
    """The readings of S1."""
    floor.known(page)
    page.goto(f"{floor.app.url}/timing?case={floor.case}&study=S1&view=readings")
    settled(page)


def decide(page, reading, action, element=""):
    """Decide about a press that is set apart."""
    for label, option in (("Reading set apart", reading), ("What to do", action), ("Element", element)):
        if option:
            opened(page, label, exact=True)
            page.get_by_role("option", name=option).first.click()
            settled(page)  # the page is drawn anew by what was chosen, and closes a list opened meanwhile
    page.get_by_label("Why", exact=True).first.fill("the engineer renamed it")
    page.get_by_role("button", name="Save the decision").click()


def test_presses_set_apart_are_named_and_settled(page, floor):
    """The page names each with its reason; renamed, assigned and excluded there, and the trail says by whom."""
    floor.book.take(floor.case, "S1", "dev1", pressed())
    page.set_viewport_size({"width": 820, "height": 1180})
    show(page, floor)
    page.get_by_role("heading", name="Readings set apart").wait_for()
    for words in ("no element of the study has this name", "no name was sent", "pressed after the clock was stopped"):
        page.get_by_text(words).first.wait_for()
    if os.environ.get("CORESET_PICTURES"):
        page.screenshot(path=Path(os.environ["CORESET_PICTURES"]) / "readings-set-apart-820.png", full_page=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= 820
    decide(page, "no. 4, place core", "is another name", "set core")
    assert until(lambda: len(floor.book.apart(floor.case, "S1")) == 2, page=page)
    settled(page)
    decide(page, "no. 8", "assign", "close mold")
    assert until(lambda: floor.book.apart(floor.case, "S1")[0].decision, page=page)
    settled(page)
    decide(page, "no. 10", "exclude")
    assert until(lambda: floor.book.apart(floor.case, "S1")[1].decision, page=page)
    settled(page)
    found = floor.study()
    assert [(r.cycle, r.element) for r in found.readings] == [
        (cycle, element)
        for cycle in (1, 2)
        for element in ("fetch core", "set core", "close mold")
    ]  # fmt: skip
    assert floor.stored() == pressed()
    assert "OB7" in found.readings.note[5]
    page.get_by_text("excluded by OB7").wait_for()


def test_the_clock_says_that_readings_were_set_apart(page, floor):
    """On the clock's own view a line names how many, and where they are."""
    floor.book.take(floor.case, "S1", "dev1", pressed())
    floor.open(page)
    page.get_by_text("4 readings do not fit this study").wait_for()


def test_an_element_renamed_while_a_clock_is_open(page, floor):
    """Renamed before it has a reading, an element takes the presses of a clock that still shows its old name."""
    floor.known(page)
    page.goto(f"{floor.app.url}/timing?case={floor.case}&study=S1&view=elements")
    settled(page)
    page.get_by_role("textbox", name="Element 1: Element").fill("lift core")
    page.get_by_role("button", name="Save elements").click()
    assert until(lambda: floor.study().elements[0].name == "lift core", page=page)
    floor.book.take(floor.case, "S1", "dev1", pressed()[:3])
    assert [r.element for r in floor.study().readings] == ["lift core"]
    assert floor.book.apart(floor.case, "S1") == []


def test_readings_after_a_signature_elsewhere(page, floor):
    """The observer is told on the clock, nothing stays on the device; the new version takes them in on the page."""
    floor.open(page)
    press(page, *["Space"] * 5)
    assert until(lambda: floor.count() == 5, page=page)
    floor.book.sign(floor.case, "S1", who="AP1")
    signed = floor.study()
    press(page, *["Space"] * 3)
    assert until(lambda: floor.book.apart(floor.case, "S1") and unsent(page) == 0, page=page)
    page.get_by_text("Study S1 was signed (AP1").wait_for()
    page.get_by_text("All 8 readings saved, 3 of them apart").wait_for()
    assert floor.study() == signed and [one.late for one in floor.book.apart(floor.case, "S1")] == [3]
    page.reload()
    page.get_by_text("3 readings came after the signature").wait_for()
    new = floor.book.new_version(floor.case, "S1", who="AP1", why="late readings")
    page.goto(f"{floor.app.url}/timing?case={floor.case}&study={new}&view=readings")
    settled(page)
    page.get_by_text("can be taken in, all of a session at once").wait_for()
    if os.environ.get("CORESET_PICTURES"):
        page.screenshot(path=Path(os.environ["CORESET_PICTURES"]) / "readings-after-signature.png", full_page=True)
    decide(page, "no. 8", "take in")
    assert until(lambda: not floor.book.apart(floor.case, new), page=page)
    assert [p.seq for p in floor.stored(new)] == list(range(1, 9))
    assert "taken in by OB7" in " ".join(floor.study(new).readings.note)
