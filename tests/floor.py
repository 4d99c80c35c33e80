"""What the tests of the clock share: a study to be timed, the clock opened, and what the book holds of it."""

import itertools
import time
from dataclasses import dataclass, field

from book_cases import case, study

from coreset.case import Element, Readings
from coreset.store.book import Book

ELEMENTS = (
    Element(name="fetch core"),
    Element(name="set core"),
    Element(name="blow off", occasional=True),
    Element(name="close mold"),
)
NUMBERS = itertools.count(1)
OPENED_MS = 90_000
"""How long the first page of a server may take on a machine that does much else at the same time."""


@dataclass
class Floor:
    """A case of its own in the book of a running app: continuous study S1 and snapback study S2, not timed yet."""

    app: object
    book: Book
    case: str = field(default_factory=lambda: f"c{next(NUMBERS)}")

    def __post_init__(self):
        """Keep the case."""
        timed = (
            study("S1", readings=Readings(), elements=ELEMENTS, consent=True),
            study("S2", readings=Readings(), elements=ELEMENTS, timing="snapback"),
        )
        self.book.keep(self.case, case(*timed), who="OB7", why="entered")

    def open(self, page, study="S1"):
        """Open Timing on a study and wait until the clock takes presses."""
        self.known(page)
        page.goto(f"{self.app.url}/timing?case={self.case}&study={study}")
        page.locator(".clock[data-live]").wait_for(timeout=OPENED_MS)

    def known(self, page, code="OB7"):
        """Let the browser remember the code of the person who uses it."""
        page.context.add_cookies([{"name": "coreset_who", "value": code, "url": self.app.url}])

    def devices(self, study="S1"):
        """Presses in the book by device."""
        return self.book.presses(self.case, study)

    def stored(self, study="S1"):
        """Presses in the book of the only device that timed the study."""
        devices = self.devices(study)
        assert len(devices) <= 1, list(devices)
        return [p for presses in devices.values() for p in presses]

    def count(self, study="S1"):
        """Presses in the book, of every device."""
        return sum(len(presses) for presses in self.devices(study).values())

    def kinds(self, study="S1"):
        """Kind and element of each stored press."""
        return [(p.kind, p.element) for p in self.stored(study)]

    def study(self, code="S1"):
        """The study as the book opens it."""
        return {s.study: s for s in self.book.open(self.case).studies}[code]


def until(condition, seconds=20.0, page=None):
    """Wait for a condition, letting a page go on meanwhile; what it returned last."""
    end = time.monotonic() + seconds
    found = condition()
    while not found and time.monotonic() < end:
        time.sleep(0.05) if page is None else page.wait_for_timeout(50)
        found = condition()
    return found


def keep(page, done, touch=False):
    """Press Keep until it is kept: a first press may only end the typing on a slow machine."""
    for _ in range(4):
        button = page.get_by_role("button", name="Save", exact=True).first
        button.tap() if touch else button.click()
        if until(done, seconds=12, page=page):
            return
    raise AssertionError("what was typed was not kept")


def state(page):
    """State that the clock shows."""
    return page.locator(".clock").get_attribute("data-state")


def durable(page):
    """Presses that are on the device's disk."""
    return int(page.locator(".clock").get_attribute("data-durable"))


def unsent(page):
    """Presses that are not yet stored in the book."""
    return int(page.locator(".clock").get_attribute("data-unsent"))


def press(page, *keys, pause_ms=40):
    """Press keys one after the other."""
    for key in keys:
        page.keyboard.press(key)
        page.wait_for_timeout(pause_ms)


def seconds(clock):
    """Seconds of a time of day."""
    hours, minutes, rest = clock.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(rest)


def in_order(presses, count):
    """Every sequence number once, none missing, the clock never going back."""
    assert [p.seq for p in presses] == list(range(1, count + 1))
    clocks = [p.clock_s for p in presses if p.kind != "trouble"]
    assert clocks == sorted(clocks)
    return True
