"""Clocks of servers and tablets that jump or disagree: what was done stands in the order in which it was done."""

import dataclasses

from book_cases import CORRECTION, case, sitting, study

from coreset.case import Readings
from coreset.store.book import Book, rows
from coreset.store.book.verify import verify_store

JUMPS_MS = (0.0, -3.6e6, 8.64e7, -1.5e12)
"""The wall clock of a tablet set back an hour, on a day, and to 1978."""


def test_servers_whose_clocks_disagree_change_no_order(book, url, monkeypatch):
    """Two servers act in turn, one in 2031 and one in 1999, then both set back: trail, corrections, undo, sessions."""
    book.keep("c", case(study("S1"), study("S2", readings=Readings())), who="OB7", why="entered")
    other = Book(url)
    for at, server in ((2031, book), (1999, other), (1990, book), (2024, other)):
        monkeypatch.setattr(rows, "received", lambda at=at: f"{at}-01-01T00:00:00+00:00")
        server.keep("c", dataclasses.replace(server.open("c"), title=str(at)), who="OB7", why=str(at))
        server.correct("c", "S1", dataclasses.replace(CORRECTION, when=rows.received(), why=str(at)))
        server.take("c", "S2", f"d{at}", sitting()[:4])
    found = other.open("c")
    assert found.title == "2024"
    assert [row.why for row in other.trail("c")][:4] == ["2024", "1990", "1999", "2031"]
    assert [made.why for made in found.studies[0].corrections] == ["2031", "1999", "1990", "2024"]
    assert list(other.presses("c", "S2")) == ["d2031", "d1999", "d1990", "d2024"]
    book.undo("c", who="OB7")
    assert other.open("c").title == "1990"
    other.close()
    assert verify_store(url) == []


def test_a_tablet_whose_clock_jumps_changes_no_time(book):
    """Times and order of the readings come from the monotonic clock and the sequence of the presses."""
    book.keep("c", case(study("S1", readings=Readings()), study("S2", readings=Readings())), who="OB7", why="entered")
    book.take("c", "S1", "tab1", sitting())
    jumped = [
        dataclasses.replace(press, wall_ms=press.wall_ms + 1.5e12 + JUMPS_MS[press.seq % 4 if press.seq > 1 else 0])
        for press in sitting()
    ]
    book.take("c", "S2", "tab1", jumped[6:] + jumped[:6])
    steady, found = (one.readings for one in book.open("c").studies)
    assert len(found) > 5 and found == steady
    assert [press.seq for press in book.presses("c", "S2")["tab1"]] == [press.seq for press in sitting()]
