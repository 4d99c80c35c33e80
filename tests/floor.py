"""What the tests of the clock share: a study to be timed, the clock opened, and what the book holds of it."""

import time

from test_book import case, study

from coreset.book import Book
from coreset.case import Element, Readings

ELEMENTS = (
    Element(name="fetch core"),
    Element(name="set core"),
    Element(name="blow off", occasional=True),
    Element(name="close mold"),
)


def book_to_time(path):
    """A book with a continuous study S1 and a snapback study S2, neither timed yet."""
    book = Book(f"sqlite:///{path / 'book.sqlite'}")
    timed = (
        study("S1", readings=Readings(), elements=ELEMENTS, consent=True),
        study("S2", readings=Readings(), elements=ELEMENTS, timing="snapback"),
    )
    book.keep("c", case(*timed), who="OB7", why="entered")
    return book


def open_clock(page, app, study="S1"):
    """Open Timing on a study and wait until the clock takes presses."""
    page.goto(f"{app.url}/timing?case=c&study={study}")
    page.locator(".clock[data-live]").wait_for()


def until(condition, seconds=20.0):
    """Wait for a condition; what it returned last."""
    end = time.monotonic() + seconds
    found = condition()
    while not found and time.monotonic() < end:
        time.sleep(0.05)
        found = condition()
    return found


def state(page):
    """State that the clock shows."""
    return page.locator(".clock").get_attribute("data-state")


def durable(page):
    """Presses that are on the device's disk."""
    return int(page.locator(".clock").get_attribute("data-durable"))


def press(page, *keys, pause_ms=40):
    """Press keys one after the other."""
    for key in keys:
        page.keyboard.press(key)
        page.wait_for_timeout(pause_ms)


def stored(book, study="S1"):
    """Presses in the book of the only device that timed the study."""
    devices = book.presses("c", study)
    assert len(devices) <= 1, list(devices)
    return [p for presses in devices.values() for p in presses]


def kinds(book, study="S1"):
    """Kind and element of each stored press."""
    return [(p.kind, p.element) for p in stored(book, study)]


def seconds(clock):
    """Seconds of a time of day."""
    hours, minutes, rest = clock.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(rest)
