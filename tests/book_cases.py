"""A small case, a small study, and presses of a clock, for tests of the book and of what stands on it."""

import math
from contextlib import contextmanager

from coreset.case import Case, Correction, Element, Money, Pattern, Range, Reading, Readings, Study
from coreset.store.book import Book
from coreset.store.book.presses import Press

NAN = math.nan


def study(code="S1", **fields):
    """A study of two elements with two cycles typed in."""
    rows = [
        Reading(1, 1, "fetch", 4.25, NAN, "", ""),
        Reading(2, 1, "set", 10.5, 110.0, "", "tight"),
        Reading(3, 2, "fetch", NAN, NAN, "missed", ""),
        Reading(4, 2, "set", 21.75, NAN, "", ""),
    ]
    given = {
        "study": code,
        "method": "manual",
        "pattern": "P1",
        "observer": "OB7",
        "operator": "OP3",
        "timing": "continuous",
        "elements": (Element(name="fetch"), Element(name="set", breakpoint="hands off")),
        "readings": Readings.of(rows),
    }
    return Study(**(given | fields))


def case(*studies, **fields):
    """A small case."""
    money = Money(
        setter_price=Range(likely=9e4, low=8e4, high=1.1e5), wage_per_h=Range.exactly(21.0), discount_rate=0.1
    )
    patterns = (Pattern(pattern="P1", molds_per_year=Range.exactly(1000), runs_per_year=10),)
    given = {"title": "Setter?", "units": "metric", "currency": "EUR", "money": money, "patterns": patterns}
    return Case(**(given | {"studies": studies or (study(),)} | fields))


CORRECTION = Correction(seq=2, action="exclude", who="OB7", when="2026-11-25T10:00", why="dropped core")


def sitting(start_ms=1_000_000.0):
    """Presses of a clock: two cycles, a foreign time within an element, one press struck."""
    p = [
        (1, "start", 0.0, 0, ""),
        (2, "first", 2.0, 0, ""),
        (3, "end", 5.0, 1, "fetch"),
        (4, "end", 9.0, 1, "set"),
        (5, "end", 9.4, 2, "fetch"),
        (6, "strike", 9.9, 0, ""),
        (7, "end", 13.0, 2, "fetch"),
        (8, "split", 15.0, 2, "set"),
        (9, "foreign", 18.0, 2, "foreign"),
        (10, "end", 20.0, 2, "set"),
        (11, "rate", 20.5, 0, ""),
        (12, "stop", 21.0, 0, ""),
    ]
    targets = {6: 5, 11: 10}
    return [
        Press(
            seq=seq,
            kind=kind,
            clock_s=clock,
            wall_ms=start_ms + 1000 * clock,
            cycle=cycle,
            element=element,
            target=targets.get(seq),
            rating=105.0 if kind == "rate" else None,
            note="2026-11-25T08:00:00.500+01:00" if kind == "start" else "",
        )
        for seq, kind, clock, cycle, element in p
    ]


FETCH, SET = Element(name="fetch"), Element(name="set")


@contextmanager
def served(folder, monkeypatch):
    """A book with one study without readings, which is the one that a server works on."""
    url = f"sqlite:///{folder / 'book.sqlite'}"
    monkeypatch.setenv("CORESET_BOOK", url)
    monkeypatch.setenv("XDG_DATA_HOME", str(folder / "data"))
    opened = Book(url)
    opened.keep("c", case(study(readings=Readings())), who="OB7", why="entered")
    yield opened
    opened.close()
