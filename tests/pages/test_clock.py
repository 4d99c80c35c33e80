"""The clock in a real Chromium: what its keys, buttons and signs do."""

import pytest
from floor import OPENED_MS, press, until

from coreset.study.element_times import element_times
from coreset.study.time_balance import balance

pytestmark = pytest.mark.browser


def test_a_study_taken_by_keys_is_in_the_book(page, floor):
    """Space marks the foreseen element, a digit another; foreign, missed, strike, rating and note have keys."""
    floor.open(page)
    press(page, "Space", "Space", "Space", "3", "Space", "Space", "Space", "m", "Backspace", "f", "Space", "Space")
    press(page, "]", "n")
    page.keyboard.type("core rubbed r c")
    press(page, "Enter", "p", "p", "e", "e")
    assert until(lambda: ("stop", "") in floor.kinds()), (floor.kinds(), floor.app.log())
    found = floor.study()
    assert [(r.cycle, r.element, r.mark) for r in found.readings] == [
        (1, "fetch core", ""),
        (1, "blow off", ""),
        (1, "set core", ""),
        (1, "close mold", ""),
        (2, "fetch core", ""),
        (2, "set core", "split"),
        (2, "foreign", "foreign"),
        (2, "set core", ""),
        (2, "close mold", "split"),
        (2, "pause", "foreign"),
    ]
    assert found.readings.rating[7] == 105.0
    assert found.readings.note[7] == "core rubbed r c"
    assert found.taken_with == "clock"


HELD_BACK = """
const all = IDBObjectStore.prototype.getAll, waiting = [];
let released = false;
IDBObjectStore.prototype.getAll = function (...asked) {
  const real = all.apply(this, asked);
  if (this.name !== "sittings" || released) return real;
  const held = {};
  real.onsuccess = () => { held.result = real.result; waiting.push(() => held.onsuccess()); };
  return held;
};
window.release = () => { released = true; waiting.forEach((go) => go()); };
"""
"""Keeps back what the device holds until `release()`."""


def test_no_press_seems_taken_before_the_device_is_read(page, floor):
    """The largest target says that it is not ready and takes no press; once it is, the first press starts the clock."""
    page.add_init_script(HELD_BACK)
    floor.known(page)
    page.goto(f"{floor.app.url}/timing?case={floor.case}&study=S1")
    page.locator(".next-what", has_text="Not ready yet").wait_for(timeout=OPENED_MS)
    assert page.locator(".next").is_disabled()
    press(page, "Space", "Space")
    assert not page.locator(".clock[data-live]").count() and not floor.count()
    page.evaluate("release()")
    page.locator(".clock[data-live]").wait_for()
    assert page.locator(".next").is_enabled() and not floor.count()
    press(page, "Space", "Space")
    assert until(lambda: floor.kinds() == [("start", ""), ("first", "")], page=page), floor.kinds()


def test_the_time_balance_of_a_continuous_study_closes(page, floor):
    """Clock-in to clock-out is before + elements + foreign + after, to the last digit that is written."""
    floor.open(page)
    press(page, "Space", "Space", *["Space"] * 6, "f", "f", *["Space"] * 3, "e", "e", pause_ms=90)
    assert until(lambda: ("stop", "") in floor.kinds())
    found = floor.study()
    spent = balance(found, element_times(found))
    assert spent.elapsed_s > 1.0
    assert spent.ineffective_s > 0.0
    assert abs(spent.unaccounted_s) <= 0.0011, "clock in and out are written to the millisecond"
    assert found.clock_trouble == ""
