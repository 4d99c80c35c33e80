"""A machine that sleeps: the browser halted as a whole, or a page that it froze; the study says so and loses nothing.

Halting the processes stands for a sleep during which the monotonic clock runs on. A suspended machine, whose monotonic
clock may stand still, cannot be tried here; what is seen then, a wall clock ahead of the monotonic one, is simulated in
test_clock_face.
"""

import re
import signal
import time

import pytest
from floor import durable, in_order, press, state, until

pytestmark = pytest.mark.browser

ASLEEP_S = 9.0


def gap_told(floor):
    """Seconds during which nothing happened, as the study tells; 0 if it tells of none."""
    found = re.search(r"nothing happened for ([0-9.]+) s", floor.study().clock_trouble)
    return float(found.group(1)) if found else 0.0


def woken(page, floor, slept_s):
    """After the sleep: told with its length, the clock has run on by the sleep, and takes presses as before."""
    assert until(lambda: gap_told(floor) > 0, page=page), floor.study().clock_trouble
    assert slept_s - 0.5 <= gap_told(floor) <= slept_s + 5.0
    assert state(page) == "running"
    press(page, "Space", "e", "e")
    assert until(lambda: floor.kinds()[-1] == ("stop", ""), page=page)
    found = floor.stored()
    assert in_order(found, len(found))
    ends = [p.clock_s for p in found if p.kind in ("first", "end")]
    assert slept_s <= ends[-1] - ends[-2] <= slept_s + 20.0
    assert "wall clock moved" not in floor.study().clock_trouble


def test_a_browser_that_is_halted_tells_of_it(killable, floor):
    """Every process of the browser stands still for nine seconds, as on a machine that sleeps."""
    page = killable.start()
    floor.open(page)
    press(page, *["Space"] * 4)
    assert until(lambda: durable(page) == 4, page=page)
    page.wait_for_timeout(2500)
    begun = time.monotonic()
    killable.signal(signal.SIGSTOP)
    time.sleep(ASLEEP_S)
    killable.signal(signal.SIGCONT)
    woken(page, floor, time.monotonic() - begun)


def test_a_page_that_the_browser_froze_tells_of_it(page, floor):
    """The browser's own signs that it froze a page and let it go on are heeded, in sight or not."""
    floor.open(page)
    press(page, *["Space"] * 4)
    assert until(lambda: durable(page) == 4, page=page)
    page.evaluate("document.dispatchEvent(new Event('freeze'))")
    page.wait_for_timeout(6000)
    page.evaluate("document.dispatchEvent(new Event('resume'))")
    assert until(lambda: gap_told(floor) >= 6.0, page=page), floor.study().clock_trouble


def test_a_short_halt_is_not_told(killable, floor):
    """Two seconds without the processor, as on a busy machine, are no sleep."""
    page = killable.start()
    floor.open(page)
    press(page, *["Space"] * 4)
    page.wait_for_timeout(1500)
    killable.signal(signal.SIGSTOP)
    time.sleep(2.0)
    killable.signal(signal.SIGCONT)
    press(page, "Space", "Space")
    page.wait_for_timeout(2500)
    assert until(lambda: floor.count() == 6, page=page)
    assert floor.study().clock_trouble == ""
