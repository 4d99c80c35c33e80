"""Presses of a clock: they become readings, each device on its own, and none is lost or stored twice."""

import dataclasses

import numpy as np
import pytest
from book_cases import CORRECTION, NAN, case, sitting, study

from coreset.case import Element, Reading, Readings
from coreset.store.book import Book, rows
from coreset.study.cycle_sums import per_mold, sums
from coreset.study.element_times import element_times
from coreset.study.time_balance import balance


def timed_book(book, timing):
    """A book with a study that a clock took."""
    book.keep("c", case(study(readings=Readings(), timing=timing)), who="OB7", why="entered")
    book.take("c", "S1", "d1", sitting())
    return book.open("c").studies[0]


def test_presses_become_readings_of_a_continuous_study(book):
    """The clock at each breakpoint from the first element on; a struck press is gone; ratings stand with elements."""
    found = timed_book(book, "continuous")
    assert [(r.element, r.reading_s, r.mark) for r in found.readings] == [
        ("fetch", 3.0, ""),
        ("set", 7.0, ""),
        ("fetch", 11.0, ""),
        ("set", 13.0, "split"),
        ("foreign", 16.0, "foreign"),
        ("set", 18.0, ""),
    ]
    assert found.readings.rating[3] == found.readings.rating[-1] == 105.0
    assert (found.clock_in, found.clock_out, found.date) == ("8:00:00.500", "8:00:21.500", "2026-11-25")
    assert (found.elapsed_before_s, found.elapsed_after_s, found.taken_with) == (2.0, 1.0, "clock")


@pytest.mark.parametrize("timing", ["continuous", "snapback"])
def test_the_time_balance_of_a_timed_study_closes(book, timing):
    """Before, elements, foreign and after are all of the time between clock in and clock out; the mean is whole."""
    found = timed_book(book, timing)
    spent = balance(found, element_times(found))
    assert (spent.elapsed_s, spent.unaccounted_pct) == (pytest.approx(21.0), pytest.approx(0.0, abs=1e-9))
    assert (spent.ineffective_s, spent.effective_s) == (pytest.approx(3.0), pytest.approx(15.0))


@pytest.mark.parametrize("how", [{}, {"per_mold": 1.0}, {"occasional": True}, {"occasional": True, "per_mold": 0.5}])
def test_an_interrupted_element_is_one_of_the_sum_of_its_parts(book, how):
    """Foreign time within a regular, counted or occasional element makes neither two of it nor a failed try."""
    elements = (Element(name="fetch"), Element(name="set", **how))
    book.keep("c", case(study(readings=Readings(), elements=elements)), who="OB7", why="entered")
    book.take("c", "S1", "d1", sitting())
    found = book.open("c").studies[0]
    timed = element_times(found)
    assert "failed" not in found.readings.mark and not timed.failed.any()
    assert timed.seconds[timed.good].tolist() == [3.0, 4.0, 4.0, 4.0]
    assert timed.element[timed.good].tolist() == [0, 1, 0, 1]
    mean = per_mold(sums(found, timed), np.ones((1, 2)), sums(found, timed).observed)[0]
    assert mean == pytest.approx([3.5, 4.0 * how.get("per_mold", 1.0)])
    spent = balance(found, timed)
    assert (spent.effective_s, spent.ineffective_s, spent.failed_s) == (pytest.approx(15.0), pytest.approx(3.0), 0.0)
    assert spent.unaccounted_s == pytest.approx(0.0, abs=1e-9)


def test_presses_become_element_times_of_a_snapback_study(book):
    """The same presses as times of their own; halves around a foreign time are one; all time is there."""
    found = timed_book(book, "snapback")
    assert [(r.element, r.reading_s) for r in found.readings] == [
        ("fetch", 3.0),
        ("set", 4.0),
        ("fetch", 4.0),
        ("foreign", 3.0),
        ("set", 4.0),
    ]
    assert found.elapsed_before_s + sum(found.readings.reading_s) + found.elapsed_after_s == pytest.approx(21.0)


def test_presses_sent_twice_are_stored_once(book):
    """Sending is idempotent by study, device and seq: the first one stands."""
    book.keep("c", case(study(readings=Readings())), who="OB7", why="entered")
    book.take("c", "S1", "d1", sitting()[:4])
    changed = [dataclasses.replace(press, clock_s=99.0) for press in sitting()[:4]]
    assert book.take("c", "S1", "d1", changed) == (1, 2, 3, 4)
    assert book.presses("c", "S1")["d1"] == sitting()[:4]


def heard(monkeypatch, *moments):
    """Let the book hear of presses at given moments, one a call."""
    left = list(moments)
    monkeypatch.setattr(rows, "received", lambda: left.pop(0) if left else moments[-1])


def test_two_devices_on_one_study_do_not_mix(book):
    """The first device's presses are the study; the second's stand under a code of their own."""
    book.keep("c", case(study(readings=Readings())), who="OB7", why="entered")
    book.take("c", "S1", "d1", sitting())
    book.take("c", "S1", "d2", sitting(start_ms=2_000_000.0)[:3])
    first, second = book.open("c").studies
    assert (first.study, len(first.readings), second.study, len(second.readings)) == ("S1", 6, "S1.2", 1)
    book.keep("c", dataclasses.replace(book.open("c"), title="Two"), who="OB7", why="as opened")
    assert [s.study for s in book.open("c").studies] == ["S1", "S1.2"]


def test_the_code_of_a_sitting_never_means_other_presses(book, monkeypatch):
    """A device that began earlier but comes late takes the next number; a correction stays with its reading."""
    book.keep("c", case(study(readings=Readings())), who="OB7", why="entered")
    heard(monkeypatch, "2026-11-25T08:00:00", "2026-11-25T08:00:01", "2026-11-25T09:00:00")
    book.take("c", "S1", "d1", sitting(start_ms=3_000_000.0))
    book.take("c", "S1", "d2", sitting(start_ms=2_000_000.0))
    book.correct("c", "S1.2", dataclasses.replace(CORRECTION, seq=3))
    book.take("c", "S1", "late", sitting(start_ms=1_000_000.0)[:3])
    found = book.open("c").studies
    assert [(s.study, len(s.readings), len(s.corrections)) for s in found] == [
        ("S1", 6, 0), ("S1.2", 6, 1), ("S1.3", 1, 0)]  # fmt: skip


@pytest.mark.parametrize("behind", ["the clock set back", "a second server 30 s behind"])
def test_no_clock_moves_an_exclusion_to_other_readings(book, url, monkeypatch, behind):
    """What was excluded stays excluded, whatever the clocks of server and browser say of a later sitting."""
    other = Book(url) if behind.startswith("a second") else book
    book.keep("c", case(study(readings=Readings())), who="OB7", why="entered")
    heard(monkeypatch, "2026-11-25T08:00:31", "2026-11-25T08:00:32", "2026-11-25T08:00:01")
    book.take("c", "S1", "first", sitting(start_ms=3_000_000.0))
    book.correct("c", "S1", dataclasses.replace(CORRECTION, seq=3))
    other.take("c", "S1", "second", sitting(start_ms=1_000_000.0)[:3])
    other.close()
    found = book.open("c").studies
    assert [(s.study, len(s.readings), len(s.corrections)) for s in found] == [("S1", 6, 1), ("S1.2", 1, 0)]
    new = book.new_version("c", "S1", who="OB7", why="again")
    copies = [(s.study, len(s.readings), len(s.corrections)) for s in book.open("c").studies]
    assert copies == [(new, 6, 1), (f"{new}.2", 1, 0)]


def test_a_study_that_is_called_like_a_sitting_is_not_lost(book):
    """A study S1.2 of its own keeps its code and readings; the second device on S1 is numbered past it."""
    own = study("S1.2", readings=Readings.of([Reading(1, 1, "set", 2.0, NAN, "", "own")]))
    book.keep("c", case(study(readings=Readings()), own), who="OB7", why="entered")
    for device in ("d1", "d2"):
        book.take("c", "S1", device, sitting())
    for _ in range(2):
        assert [(s.study, len(s.readings)) for s in book.open("c").studies] == [("S1", 6), ("S1.3", 6), ("S1.2", 1)]
        book.keep("c", dataclasses.replace(book.open("c"), title="Two"), who="OB7", why="as opened")


def test_a_clock_does_not_hide_typed_readings(kept):
    """Presses on a study that was typed in stand under a code of their own; the typed readings stay the study."""
    kept.take("c", "S1", "d1", sitting())
    first, second = kept.open("c").studies
    assert (first.study, first.readings) == ("S1", study().readings)
    assert (second.study, len(second.readings)) == ("S1.2", 6)
    kept.keep("c", dataclasses.replace(kept.open("c"), title="Two"), who="OB7", why="as opened")
    assert [s.study for s in kept.open("c").studies] == ["S1", "S1.2"]


def test_a_stale_case_loses_no_press(book):
    """A case that was opened before more presses came may be kept: the presses stay."""
    book.keep("c", case(study(readings=Readings())), who="OB7", why="entered")
    book.take("c", "S1", "d1", sitting()[:4])
    stale = book.open("c")
    book.take("c", "S1", "d1", sitting()[4:])
    book.keep("c", dataclasses.replace(stale, title="Two"), who="OB7", why="title")
    assert len(book.open("c").studies[0].readings) == 6
