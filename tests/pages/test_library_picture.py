"""A picture of an element, taken in the library on a tablet; and what stands there after Stop."""

import io
import os
from dataclasses import replace
from pathlib import Path

import pytest
from browsers import opened, settled
from floor import press, until
from PIL import Image

from coreset.study.library import pictured
from coreset.web.pictures import small

pytestmark = pytest.mark.browser


def left(page, name):
    """A picture of the page where pictures are wanted."""
    if os.environ.get("CORESET_PICTURES"):
        page.screenshot(path=Path(os.environ["CORESET_PICTURES"]) / f"{name}.png", full_page=True)


def test_a_picture_is_taken_in_the_library_and_shown(page, floor):
    """Chosen from the device, saved small in the study, shown under the element's name; nothing leaves the screen."""
    page.set_viewport_size({"width": 820, "height": 1180})
    floor.known(page)
    page.goto(f"{floor.app.url}/timing?case={floor.case}&study=S1&view=library")
    settled(page)
    stream = io.BytesIO()
    Image.radial_gradient("L").resize((1600, 1200)).convert("RGB").save(stream, "JPEG")
    page.locator("input[type=file]").first.set_input_files(
        {"name": "seat.jpg", "mimeType": "image/jpeg", "buffer": stream.getvalue()}
    )
    page.get_by_text("seat.jpg").first.wait_for()
    page.get_by_role("button", name="Save picture").click()
    assert until(lambda: any(e.picture for e in floor.study().elements), page=page)
    shown = page.locator("img[src^='data:image/jpeg']").first
    shown.wait_for()
    assert until(lambda: shown.evaluate("e => e.naturalWidth") == 480, page=page)
    assert page.evaluate("document.documentElement.scrollWidth") <= 820
    left(page, "library-picture-820")


def test_a_picture_is_on_the_running_clock_and_beside_review(page, floor):
    """The picture and the words of the breakpoint that comes next stand in the largest target, each at its element.

    820 x 1180 and 1180 x 820: next and ratings stay in sight.
    """
    stream = io.BytesIO()
    Image.radial_gradient("L").resize((320, 240)).convert("RGB").save(stream, "JPEG")
    case = floor.book.open(floor.case)
    case = pictured(case, "set core", small(stream.getvalue()))
    first, *others = case.studies
    told = [replace(e, breakpoint="core sits in its print") if e.name == "set core" else e for e in first.elements]
    floor.book.keep(
        floor.case, replace(case, studies=(replace(first, elements=tuple(told)), *others)), who="OB7", why="described"
    )
    page.set_viewport_size({"width": 820, "height": 1180})
    floor.open(page)
    seen = page.locator(".next-pictures img:visible")
    press(page, "Space", "Space")
    assert until(lambda: page.locator(".next-what").inner_text() == "fetch core ends", page=page)
    assert until(lambda: not seen.count(), page=page)
    height = page.locator(".next").bounding_box()["height"]
    press(page, "Space")
    assert until(lambda: page.locator(".next-what").inner_text() == "set core ends", page=page)
    assert until(lambda: page.locator(".next-breakpoint").inner_text() == "core sits in its print", page=page)
    assert until(lambda: seen.count() == 1 and seen.evaluate("e => e.naturalWidth") == 320, page=page)
    assert page.locator(".next").bounding_box()["height"] == height, "nothing below it moves"
    for name, width, height in (("portrait", 820, 1180), ("landscape", 1180, 820)):
        page.set_viewport_size({"width": width, "height": height})
        left(page, f"clock-picture-{name}")
        assert seen.bounding_box()["height"] > 150, "a picture that is seen at arm's length"
        for part in (".next", ".steps"):
            box = page.locator(part).bounding_box()
            assert box["y"] + box["height"] <= height, (part, name)
        assert page.locator(".next-what").bounding_box()["x"] > seen.bounding_box()["x"] + seen.bounding_box()["width"]
    press(page, "Space")
    assert until(lambda: page.locator(".next-what").inner_text() == "close mold ends", page=page)
    assert until(lambda: not seen.count(), page=page)
    press(page, "Space", "e", "e")
    assert until(lambda: floor.study().readings, page=page)
    page.goto(f"{floor.app.url}/timing?case={floor.case}&study=S1&view=readings")
    settled(page)
    box = opened(page, "Element", exact=True)
    box.fill("set core")
    box.press("Enter")
    page.locator("img[src^='data:image/jpeg']").first.wait_for()
    page.get_by_text("Breakpoint: core sits in its print").first.wait_for()
    left(page, "review-picture")


def test_after_stop_the_standard_and_what_is_needed_stand_there(page, floor):
    """820 px: readings saved, standard so far with its range, cycles still needed, and what is next."""
    page.set_viewport_size({"width": 820, "height": 1180})
    floor.open(page)
    press(page, "Space", "Space")
    for pause in (60, 90, 70, 110, 50):
        press(page, "Space", "Space", "Space", pause_ms=pause)
    left(page, "clock-running-820")
    press(page, "e", "e")
    for words in ("Standard so far", "Cycles still needed", "Next:"):
        page.get_by_text(words).first.wait_for()
    settled(page)
    left(page, "after-stop-820")
    assert page.evaluate("document.documentElement.scrollWidth") <= 820
