"""The clock in a real Chromium: what its keys, buttons and signs do."""

import pytest
from floor import press, until

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
