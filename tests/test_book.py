"""The book: what is kept comes back, nothing taken is lost or altered, and each refusal says why."""

import dataclasses
import math
import sqlite3
import subprocess
import sys
import threading

import numpy as np
import pytest
from sqlalchemy import event, text
from stores import kinds, store

from coreset.book import Book, rows, schema
from coreset.book.presses import Press
from coreset.case import Case, Correction, Element, Money, Pattern, Range, Reading, Readings, Study
from coreset.errors import BookError
from coreset.study.balance import balance
from coreset.study.sums import per_mold, sums
from coreset.study.times import element_times

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


def pytest_generate_tests(metafunc):
    """Each test on both stores, but for those that look into the file of a SQLite book."""
    if "url" in metafunc.fixturenames:
        of_a_file = metafunc.definition.get_closest_marker("book_file")
        metafunc.parametrize("url", ["sqlite"] if of_a_file else kinds(), indirect=True)


@pytest.fixture
def url(request, tmp_path):
    """URL of a book that is not there yet; a file's folder is not either."""
    with store(request.param, tmp_path) as found:
        yield found


@pytest.fixture
def book(url):
    """An empty book."""
    opened = Book(url)
    yield opened
    opened.close()


@pytest.fixture
def kept(book):
    """A book with the small case."""
    book.keep("c", case(), who="OB7", why="entered")
    return book


def test_the_mark_of_a_case_changes_with_it_alone(tmp_path):
    """Kept, pressed, corrected, signed, a code deleted: each gives another mark; looking does not."""
    book = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    book.keep("c", case(study("S1", consent=True)), who="OB7", why="entered")
    seen = [book.stamp("c")]
    assert book.open("c") and book.stamp("c") == seen[0]

    def changed():
        seen.append(book.stamp("c"))
        assert len(set(seen)) == len(seen)

    book.keep("c", dataclasses.replace(book.open("c"), title="Another"), who="OB7", why="renamed")
    changed()
    first = book.open("c").studies[0].readings
    made = Correction(seq=first.seq[0], action="exclude", value="", who="OB7", when="2026-03-31", why="dropped it")
    book.correct("c", "S1", made)
    changed()
    book.sign("c", "S1", who="OB7")
    changed()
    book.forget("OB7")
    changed()
    book.keep("other", case(), who="OB8", why="entered")
    assert book.stamp("c") == seen[-1]
    book.close()


def test_a_case_comes_back_as_it_was_kept(kept):
    """Every value of the case, readings included, is the same after keeping and opening."""
    assert kept.open("c") == case()


def test_another_process_opens_the_same_case(kept, url):
    """What is kept is on disk, not in the process that kept it."""
    script = f"from coreset.book import Book; print(len(Book({url!r}).open('c').studies[0].readings))"
    assert subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True).stdout == "4\n"


def test_undo_goes_back_step_by_step_and_keeps_what_was_undone(kept):
    """Each undo shows what held before; every revision can still be opened, with who and why."""
    kept.keep("c", dataclasses.replace(case(), title="Two"), who="OB7", why="title")
    kept.keep("c", dataclasses.replace(case(), title="Three"), who="OB8", why="title again")
    kept.undo("c", who="OB7")
    assert kept.open("c").title == "Two"
    kept.undo("c", who="OB7")
    assert kept.open("c").title == "Setter?"
    assert kept.open("c", revision=3).title == "Three"
    assert [(row.revision, row.who, row.why) for row in kept.trail("c")][:3] == [
        (5, "OB7", "undo"),
        (4, "OB7", "undo"),
        (3, "OB8", "title again"),
    ]
    with pytest.raises(BookError, match="earlier revision"):
        kept.undo("c", who="OB7")


def test_the_list_of_cases_asks_no_more_for_more_cases(kept):
    """Each revision is listed under the title that it opens with, also after undo, by as many questions as for one."""
    for number in range(12):
        kept.keep(f"c{number}", case(), who="OB7", why="entered")
        kept.keep(f"c{number}", dataclasses.replace(case(), title=f"Two {number}"), who="OB7", why="title")
        kept.keep(f"c{number}", dataclasses.replace(case(), title=f"Two {number}", plant="X"), who="OB7", why="plant")
    kept.undo("c3", who="OB7")
    kept.undo("c4", who="OB7")
    kept.undo("c4", who="OB7")
    kept.keep("c4", dataclasses.replace(kept.open("c4"), date="2026-11-25"), who="OB7", why="date")
    asked = []
    event.listen(kept._engine, "before_cursor_execute", lambda *given: asked.append(given[2]))
    listed = kept.cases()
    assert sum(statement.startswith("SELECT") for statement in asked) == 3
    titles = {row.case_id: row.title for row in listed}
    assert titles == {row.case_id: kept.open(row.case_id).title for row in listed}
    assert (titles["c3"], titles["c4"], titles["c5"]) == ("Two 3", "Setter?", "Two 5")
    assert [row.title for row in kept.trail("c4")] == ["Setter?", "Setter?", "Two 4", "Two 4", "Two 4", "Setter?"]


def test_a_change_after_undo_builds_on_what_is_shown(kept):
    """What was undone does not come back with the next change."""
    kept.keep("c", dataclasses.replace(case(), title="Two", plant="X"), who="OB7", why="title")
    kept.undo("c", who="OB7")
    kept.keep("c", dataclasses.replace(kept.open("c"), date="2026-11-25"), who="OB7", why="date")
    assert (kept.open("c").title, kept.open("c").plant, kept.open("c").date) == ("Setter?", "", "2026-11-25")


def test_keeping_the_same_case_again_is_no_revision(kept):
    """Only a change makes a revision, and only changed parts are written."""
    assert kept.keep("c", case(), who="OB7", why="again") == 1
    kept.keep("c", dataclasses.replace(case(), title="Two"), who="OB7", why="title")
    with kept._reading() as connection:
        names = connection.scalars(text("select name from part where revision = 2")).all()
    assert names == ["case"]


def test_who_and_why_must_be_said(book):
    """A revision without who or why is refused."""
    with pytest.raises(BookError, match="who and why"):
        book.keep("c", case(), who="", why="entered")


def test_a_change_from_an_old_revision_is_refused(kept):
    """Two people on one case do not overwrite each other unseen."""
    kept.keep("c", dataclasses.replace(case(), title="Two"), who="OB8", why="title", base=1)
    with pytest.raises(BookError, match="somebody else changed it"):
        kept.keep("c", dataclasses.replace(case(), title="Mine"), who="OB7", why="title", base=1)


def test_a_stored_reading_is_never_altered(kept):
    """A case that brings another value for a stored reading is refused; the stored one stays."""
    rows = [row._replace(reading_s=9.9) if row.seq == 2 else row for row in study().readings]
    with pytest.raises(BookError, match="reading 2 of study 'S1' must stay as stored"):
        kept.keep("c", case(study(readings=Readings.of(rows))), who="OB7", why="tidy up")
    assert kept.open("c").studies[0].readings.reading_s[1] == 10.5


def test_further_readings_are_added(kept):
    """Readings that are new to a study join those that are stored."""
    more = Readings.of([*study().readings, Reading(5, 3, "fetch", 25.0, NAN, "", "")])
    kept.keep("c", case(study(readings=more)), who="OB7", why="one more")
    assert len(kept.open("c").studies[0].readings) == 5


CORRECTION = Correction(seq=2, action="exclude", who="OB7", when="2026-11-25T10:00", why="dropped core")


def test_a_correction_is_a_new_row(kept):
    """The reading stays; the correction stands beside it with who, when and why."""
    kept.correct("c", "S1", CORRECTION)
    found = kept.open("c").studies[0]
    assert found.corrections == (CORRECTION,)
    assert found.readings == study().readings
    kept.keep("c", kept.open("c"), who="OB7", why="as opened")
    assert kept.open("c").studies[0].corrections == (CORRECTION,)


def test_a_correction_of_no_reading_is_refused(kept):
    """A correction must concern a reading that is there."""
    with pytest.raises(BookError, match="must concern a reading"):
        kept.correct("c", "S1", dataclasses.replace(CORRECTION, seq=99))


def test_a_signed_study_takes_no_more_changes(kept):
    """Correction, press, reading, header: each is refused after signing, with the signature named."""
    kept.sign("c", "S1", who="AP1")
    assert kept.open("c").studies[0].signed.startswith("AP1 20")
    changes = [
        lambda: kept.correct("c", "S1", CORRECTION),
        lambda: kept.take("c", "S1", "d1", [Press(seq=1, kind="start", clock_s=0, wall_ms=0)]),
        lambda: kept.keep("c", case(study(note="better")), who="OB7", why="note"),
        lambda: kept.keep("c", case(study(corrections=(CORRECTION,))), who="OB7", why="exclude"),
        lambda: kept.sign("c", "S1", who="AP2"),
    ]
    for change in changes:
        with pytest.raises(BookError, match=r"'S1' must be open to be changed, got one signed by AP1"):
            change()
    kept.keep("c", dataclasses.replace(kept.open("c"), title="Two"), who="OB7", why="something else")


def test_a_new_version_opens_from_a_signed_study(kept):
    """The copy takes the place of the signed one, and can be changed; the signed one stays in the book."""
    kept.correct("c", "S1", CORRECTION)
    kept.sign("c", "S1", who="AP1")
    assert kept.new_version("c", "S1", who="OB7", why="re-rated") == "S1-v2"
    (new,) = kept.open("c").studies
    assert (new.study, new.signed, new.readings, new.corrections) == ("S1-v2", "", study().readings, (CORRECTION,))
    kept.correct("c", "S1-v2", dataclasses.replace(CORRECTION, seq=4))
    (old,) = kept.open("c", revision=1).studies
    assert old.signed.startswith("AP1") and old.corrections == (CORRECTION,)


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


def test_a_study_that_is_called_like_a_sitting_is_not_lost(book):
    """A study S1.2 of its own keeps its code and readings; the second device on S1 is numbered past it."""
    own = study("S1.2", readings=Readings.of([Reading(1, 1, "set", 2.0, NAN, "", "own")]))
    book.keep("c", case(study(readings=Readings()), own), who="OB7", why="entered")
    for device in ("d1", "d2"):
        book.take("c", "S1", device, sitting())
    for _ in range(2):
        assert [(s.study, len(s.readings)) for s in book.open("c").studies] == [("S1", 6), ("S1.3", 6), ("S1.2", 1)]
        book.keep("c", dataclasses.replace(book.open("c"), title="Two"), who="OB7", why="as opened")


def two_sittings(book):
    """A study that two devices timed, the first reading of the second excluded."""
    book.keep("c", case(study(readings=Readings()), study("S7")), who="OB7", why="entered")
    book.take("c", "S1", "d1", sitting())
    book.take("c", "S1", "d2", sitting(start_ms=2_000_000.0)[:5])
    book.correct("c", "S1.2", dataclasses.replace(CORRECTION, seq=3))


@pytest.mark.parametrize("signed", ["S1", "S1.2"])
def test_a_signature_on_any_sitting_locks_the_whole_study(book, signed):
    """No press on any device, known or new, no correction on any sitting, no header, no second signature."""
    two_sittings(book)
    book.sign("c", signed, who="AP1")
    opened = book.open("c")
    assert [s.signed.partition(" ")[0] for s in opened.studies] == ["AP1", "AP1", ""]
    later = [Press(seq=20, kind="end", clock_s=30.0, wall_ms=1.0, cycle=3, element="set")]
    header = tuple(dataclasses.replace(s, layout="other") if s.study == "S1" else s for s in opened.studies)
    more = tuple(
        dataclasses.replace(s, corrections=(*s.corrections, dataclasses.replace(CORRECTION, seq=4)))
        if s.study == "S1.2" else s for s in opened.studies
    )  # fmt: skip
    changes = [
        *(lambda device=device: book.take("c", "S1", device, later) for device in ("d1", "d2", "d3")),
        *(lambda code=code: book.correct("c", code, dataclasses.replace(CORRECTION, seq=4)) for code in ("S1", "S1.2")),
        lambda: book.keep("c", dataclasses.replace(opened, studies=header), who="OB7", why="header"),
        lambda: book.keep("c", dataclasses.replace(opened, studies=more), who="OB7", why="exclude"),
        *(lambda code=code: book.sign("c", code, who="AP2") for code in ("S1", "S1.2")),
    ]
    for change in changes:
        with pytest.raises(BookError, match="study 'S1' must be open to be changed, got one signed by AP1"):
            change()
    assert book.open("c") == opened
    book.correct("c", "S7", CORRECTION)
    book.keep("c", dataclasses.replace(book.open("c"), title="Two"), who="OB7", why="something else")


@pytest.mark.parametrize("of", ["S1", "S1.2"])
def test_a_new_version_has_every_sitting(book, of):
    """Opened from any sitting, it has the presses and corrections of all, takes more, and leaves the signed one."""
    two_sittings(book)
    book.sign("c", "S1.2", who="AP1")
    signed = book.open("c")
    revision = book.revision("c")
    assert book.new_version("c", of, who="OB7", why="re-rated") == "S1-v2"
    new = book.open("c").studies
    assert [(s.study, s.signed, len(s.readings), len(s.corrections)) for s in new] == [
        ("S1-v2", "", 6, 0), ("S1-v2.2", "", 3, 1), ("S7", "", 4, 0)]  # fmt: skip
    assert (new[0].clock_in, new[0].taken_with) == (signed.studies[0].clock_in, "clock")
    book.take("c", "S1-v2", "d3", sitting())
    book.correct("c", "S1-v2.2", dataclasses.replace(CORRECTION, seq=4))
    assert [s.study for s in book.open("c").studies] == ["S1-v2", "S1-v2.2", "S1-v2.3", "S7"]
    assert book.open("c", revision=revision) == signed
    with pytest.raises(BookError, match="signed by AP1"):
        book.take("c", "S1", "d1", [Press(seq=20, kind="end", clock_s=30.0, wall_ms=1.0)])


def test_undo_does_not_reach_under_a_signature(book):
    """What was changed before the signature cannot be taken back after it; what concerns other things can."""
    book.keep("c", case(study()), who="OB7", why="entered")
    book.keep("c", case(study(layout="rack left")), who="OB7", why="layout")
    book.sign("c", "S1", who="AP1")
    with pytest.raises(BookError, match="signed by AP1"):
        book.undo("c", who="OB7")
    book.keep("c", dataclasses.replace(book.open("c"), title="Two"), who="OB7", why="title")
    book.undo("c", who="OB7")
    assert book.open("c").title == case().title and book.open("c").studies[0].layout == "rack left"


@pytest.mark.parametrize("field", ["date", "clock_in", "clock_out", "origin"])
def test_times_of_a_typed_study_are_locked_too(book, field):
    """What a clock would fill in is part of the header of a study that was typed."""
    book.keep("c", case(study()), who="OB7", why="entered")
    book.sign("c", "S1", who="AP1")
    with pytest.raises(BookError, match="signed by AP1"):
        book.keep("c", case(study(**{field: "9:00"})), who="OB7", why="time")


def edited(book, *elements, code="S1"):
    """Keep the study with other elements."""
    opened = book.open("c")
    studies = tuple(dataclasses.replace(s, elements=elements) if s.study == code else s for s in opened.studies)
    book.keep("c", dataclasses.replace(opened, studies=studies), who="OB7", why="elements")


@pytest.mark.parametrize("typed", [True, False])
def test_a_renamed_element_keeps_its_readings(book, typed):
    """The place keeps its readings, raw presses stay, a press under the old name that comes late goes there too."""
    book.keep("c", case(study(readings=study().readings if typed else Readings())), who="OB7", why="entered")
    if not typed:
        book.take("c", "S1", "d1", sitting()[:10])
    raw = book.presses("c", "S1")
    edited(book, Element(name="lift out", earlier=("fetch",)), Element(name="set"))
    found = book.open("c").studies[0]
    assert set(found.readings.element) - {"foreign"} == {"lift out", "set"}
    assert book.presses("c", "S1") == raw
    book.keep("c", dataclasses.replace(book.open("c"), title="Two"), who="OB7", why="as opened")
    assert book.open("c").studies[0] == found
    book.correct("c", "S1", dataclasses.replace(CORRECTION, seq=4, action="relabel", value="lift out"))
    if not typed:
        late = Press(seq=11, kind="end", clock_s=24.0, wall_ms=1.0, cycle=3, element="fetch")
        book.take("c", "S1", "d1", [late])
        assert book.open("c").studies[0].readings.element[-1] == "lift out"
    edited(book, Element(name="fetch 2", earlier=("fetch", "lift out")), Element(name="set"))
    opened = book.open("c")
    assert opened.studies[0].corrections[0].value == "fetch 2"
    book.keep("c", dataclasses.replace(opened, title="Three"), who="OB7", why="as opened")
    assert len(book.open("c").studies[0].corrections) == 1
    assert [row.why for row in book.study_trail("c", "S1")][-1] == "entered"


FETCH, SET = Element(name="fetch"), Element(name="set")


@pytest.mark.parametrize(
    ("elements", "message"),
    [
        ((SET, FETCH), "element 1 of study 'S1' must stay 'fetch', which has readings"),
        ((FETCH,), "element 2 of study 'S1' must stay 'set'"),
        ((Element(name="lift out"), SET), "element 1 of study 'S1' must stay 'fetch'"),
        ((Element(name="new"), FETCH, SET), "element 1 of study 'S1' must stay 'fetch'"),
        ((FETCH, SET, FETCH), "element 'fetch' of study 'S1' has readings and must be one element"),
        (
            (FETCH, SET, Element(name="new", earlier=("set",))),
            "element 'set' of study 'S1' has readings and must be one",
        ),
    ],
)
def test_an_edit_never_gives_readings_to_another_element(book, elements, message):
    """Once readings exist an element stays at its place under its names; before, the list is free."""
    book.keep("c", case(study(readings=Readings())), who="OB7", why="entered")
    edited(book, *elements[:2])
    edited(book, FETCH, SET)
    book.take("c", "S1", "d1", sitting())
    before = book.open("c")
    with pytest.raises(BookError, match=message):
        edited(book, *elements)
    assert book.open("c") == before
    edited(book, dataclasses.replace(FETCH, breakpoint="core lifted", kind="machine"), SET, Element(name="blow off"))


def test_what_could_not_be_opened_again_is_not_kept(kept):
    """A value outside its limits is refused when it is kept, not found when the case is next opened."""
    with pytest.raises(BookError, match="must fit the form of a case"):
        kept.keep("c", case(study(elements=(FETCH, dataclasses.replace(SET, per_mold=0.0)))), who="OB7", why="none")
    assert kept.open("c") == case()


def test_undo_leaves_no_reading_without_its_element(book):
    """An element that has been pressed since it was added cannot be taken away by undo."""
    book.keep("c", case(study(readings=Readings(), elements=(FETCH,))), who="OB7", why="entered")
    edited(book, FETCH, SET)
    book.take("c", "S1", "d1", sitting())
    with pytest.raises(BookError, match="element 2 of study 'S1' must stay 'set'"):
        book.undo("c", who="OB7")


@pytest.mark.parametrize(
    ("action", "value", "message"),
    [
        ("relabel", "no such", "new label must be one of fetch, set"),
        ("rerate", "-5", "above 0"),
        ("rerate", "x", "above 0"),
    ],
)
def test_a_correction_to_what_cannot_be_is_refused(kept, action, value, message):
    """A label is an element of the study, a rating a number above nought."""
    with pytest.raises(BookError, match=message):
        kept.correct("c", "S1", dataclasses.replace(CORRECTION, action=action, value=value))


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


def test_a_persons_code_is_deleted_across_the_book(kept, url, tmp_path):
    """After deletion no byte of the book's files holds the code; a pattern of the same name stays."""
    kept.keep("c", dataclasses.replace(case(), plant="OP3 hall"), who="OP3", why="OP3 asked")
    kept.correct("c", "S1", dataclasses.replace(CORRECTION, who="OP3", why="OP3 said so"))
    assert kept.forget("OP3") == 5
    found = kept.open("c")
    assert (found.studies[0].operator, found.studies[0].corrections[0].who) == ("removed", "removed")
    assert found.plant == "OP3 hall"
    kept.keep("c", dataclasses.replace(found, plant=""), who="OB7", why="plant")
    with pytest.raises(BookError, match="person's code"):
        kept.forget(" ")


@pytest.mark.book_file
def test_a_deleted_code_leaves_no_byte(kept, tmp_path):
    """Deleting overwrites: neither the file nor its log still holds the code."""
    kept.keep("c", case(study(operator="ZQX9")), who="OB7", why="other operator")
    assert kept.forget("ZQX9") == 1
    assert not any(b"ZQX9" in path.read_bytes() for path in tmp_path.rglob("book.sqlite*"))


@pytest.mark.book_file
def test_a_newer_book_is_refused(url):
    """Tables of a newer version are not touched; the message says what to do."""
    Book(url).close()
    path = url.removeprefix("sqlite:///")
    with sqlite3.connect(path) as connection:
        connection.execute("update form set version = 99")
    connection.close()
    with pytest.raises(BookError, match="version 1 or older, got 99: a newer coreset wrote it"):
        Book(url)


@pytest.mark.book_file
def test_an_older_book_is_brought_forward_and_a_copy_kept(url, kept, monkeypatch):
    """A step forward changes the tables; the book as it was lies beside it."""
    kept.close()
    add = text("alter table revision add column place text default 'floor'")
    monkeypatch.setattr(schema, "VERSION", 2)
    monkeypatch.setitem(schema.MIGRATIONS, 1, lambda connection: connection.execute(add))
    newer = Book(url)
    assert newer.open("c") == case()
    newer.close()
    for path, columns, version in ((url, 7, 2), (f"{url}.v1", 6, 1)):
        connection = sqlite3.connect(path.removeprefix("sqlite:///"))
        assert len(connection.execute("select * from revision").description) == columns
        assert connection.execute("select version from form").fetchone() == (version,)
        connection.close()


def test_a_failed_step_forward_leaves_the_book_as_it_was(url, kept, monkeypatch):
    """Half a migration is none."""
    kept.close()

    def step(connection):
        connection.execute(text("alter table revision add column place text"))
        connection.execute(text("select * from nowhere"))

    monkeypatch.setattr(schema, "VERSION", 2)
    monkeypatch.setitem(schema.MIGRATIONS, 1, step)
    with pytest.raises(BookError, match="nowhere"):
        Book(url)
    monkeypatch.undo()
    again = Book(url)
    assert again.open("c") == case()
    again.close()


@pytest.mark.parametrize(
    ("content", "message"),
    [(b"this is a letter, not a database" * 50, "file is not a database"), (None, "other tables")],
)
def test_what_is_no_book_is_refused(tmp_path, content, message):
    """A file of another kind, or another program's database, is refused and left alone."""
    path = tmp_path / "other.sqlite"
    if content is None:
        connection = sqlite3.connect(path)
        connection.execute("create table letters (id integer)")
        connection.close()
    else:
        path.write_bytes(content)
    before = path.read_bytes()
    with pytest.raises(BookError, match=message):
        Book(f"sqlite:///{path}")
    assert path.read_bytes() == before


def test_a_url_of_nothing_is_refused():
    """Neither a typing mistake nor an unknown database ends in a traceback."""
    for url in ("book.sqlite", "nosuchbase://x"):
        with pytest.raises(BookError, match="must be the URL"):
            Book(url)


@pytest.mark.book_file
def test_the_file_is_durable(book, url):
    """Write-ahead log, and every commit is on the disk before it is acknowledged."""
    with book._reading() as connection:
        assert connection.scalar(text("pragma journal_mode")) == "wal"
        assert connection.scalar(text("pragma synchronous")) == 2


def test_eight_writers_lose_nothing(kept):
    """Eight threads that take presses at once: every press is stored once."""
    presses = [Press(seq=n, kind="end", clock_s=n, wall_ms=n, cycle=n, element="set") for n in range(1, 41)]

    def write(device):
        for press in presses:
            kept.take("c", "S1", device, [press])

    threads = [threading.Thread(target=write, args=(f"d{n}",)) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert {device: len(rows) for device, rows in kept.presses("c", "S1").items()} == {f"d{n}": 40 for n in range(8)}


def test_a_mapping_is_remembered(book):
    """What was remembered last holds."""
    assert book.mapping("Zeit;Element") is None
    book.remember("Zeit;Element", "{}")
    book.remember("Zeit;Element", '{"reading_s": "Zeit"}')
    assert book.mapping("Zeit;Element") == '{"reading_s": "Zeit"}'


OBSERVER = """
import sys
from coreset.book import Book
from coreset.book.presses import Press
url, device, count = sys.argv[1], sys.argv[2], int(sys.argv[3])
book = Book(url)
for seq in range(1, count + 1):
    press = Press(seq=seq, kind="end", clock_s=seq, wall_ms=seq, cycle=seq, element="set")
    assert book.take("c", "S1", device, [press]) == (seq,)
"""


def test_sixteen_observers_from_sixteen_processes_lose_nothing(kept, url):
    """Processes that take presses at the same time: each press that was acknowledged is stored once."""
    started = [subprocess.Popen([sys.executable, "-c", OBSERVER, url, f"d{n:02d}", "10"]) for n in range(16)]
    assert [process.wait(timeout=300) for process in started] == [0] * 16
    stored = {device: [press.seq for press in rows] for device, rows in kept.presses("c", "S1").items()}
    assert stored == {f"d{n:02d}": list(range(1, 11)) for n in range(16)}


NEWER = "update form set version = 99"


def test_a_newer_book_is_left_alone(url, kept):
    """On either store the tables of a newer version are not touched."""
    with kept._writing() as connection:
        connection.execute(text(NEWER))
    with pytest.raises(BookError, match="a newer coreset wrote it"):
        Book(url)


def test_a_step_forward_keeps_what_was(url, kept, monkeypatch):
    """On either store a step forward is taken once, and the case is the same after it."""
    add = text("alter table revision add column place text default 'floor'")
    monkeypatch.setattr(schema, "VERSION", 2)
    monkeypatch.setitem(schema.MIGRATIONS, 1, lambda connection: connection.execute(add))
    kept.close()
    for _ in range(2):
        newer = Book(url)
        assert newer.open("c") == case()
        newer.close()
