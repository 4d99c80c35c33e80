"""A picture of an element, taken in the library on a tablet; and what stands there after Stop."""

import io
import os
from pathlib import Path

import pytest
from browsers import settled
from floor import press, until
from PIL import Image

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
