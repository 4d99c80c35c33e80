"""The book: what is kept comes back, nothing taken is lost or altered, and each refusal says why."""

import dataclasses
import subprocess
import sys

import pytest
from book_cases import FETCH, NAN, SET, case, sitting, study
from sqlalchemy import event, text

from coreset.case import Correction, Reading, Readings
from coreset.errors import BookError
from coreset.store.book import Book

ENTERED = {"who": "OB7", "why": "entered"}


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


def test_the_mark_changes_with_each_press_stored(book):
    """Of any study and device, also one that came late; not with one that is there, nor with another case's."""
    book.keep("c", case(study("S1"), study("S2", readings=Readings()), study("S3", readings=Readings())), **ENTERED)
    book.keep("other", case(study("S2", readings=Readings())), **ENTERED)
    presses, other, seen = sitting(), book.stamp("other"), [book.stamp("c")]
    for code, device, sent in (("S2", "d1", presses[1:3]), ("S2", "d1", presses[:1]), ("S2", "d2", presses[:2]),
                               ("S3", "d2", presses[:2])):  # fmt: skip
        book.take("c", code, device, sent)
        seen.append(book.stamp("c"))
    assert len(set(seen)) == len(seen)
    book.take("c", "S3", "d2", presses[:2])
    assert book.stamp("c") == seen[-1] and book.stamp("other") == other


def test_the_mark_changes_with_typed_readings_alone(kept):
    """Readings added while no header changes, also before others; not with the same ones again."""
    rows = [
        *case().studies[0].readings,
        Reading(5, 3, "fetch", 25.0, NAN, "", ""),
        Reading(9, 4, "fetch", 33.0, NAN, "", ""),
    ]
    late = Reading(7, 3, "set", 29.0, NAN, "", "")
    seen = [kept.stamp("c")]
    for read in (rows[:5], rows, [*rows[:5], late, rows[5]]):
        kept.keep("c", case(study(readings=Readings.of(read))), who="OB7", why="more")
        seen.append(kept.stamp("c"))
    assert len(set(seen)) == 4 and kept.revision("c") == 1 and len(kept.open("c").studies[0].readings) == 7
    kept.keep("c", kept.open("c"), who="OB7", why="the same")
    assert kept.stamp("c") == seen[-1]


@pytest.mark.book_file
def test_the_mark_is_asked_for_without_counting_what_was_typed(book):
    """Steps of the database: a study of 5,000 typed readings takes hardly more than one of four."""
    read = Readings.of([Reading(n, n, "set", 4.0 * n, NAN, "", "") for n in range(1, 5001)])
    book.keep("small", case(), **ENTERED)
    book.keep("large", case(study(readings=read)), **ENTERED)
    steps = {"small": 0, "large": 0}

    def step():
        steps[name] += 1

    event.listen(book._engine, "begin", lambda c: c.connection.driver_connection.set_progress_handler(step, 1))
    for name in steps:
        book.stamp(name)
    assert 0 < steps["large"] < 1.5 * steps["small"]


def test_a_case_comes_back_as_it_was_kept(kept):
    """Every value of the case, readings included, is the same after keeping and opening."""
    assert kept.open("c") == case()


def test_another_process_opens_the_same_case(kept, url):
    """What is kept is on disk, not in the process that kept it."""
    script = f"from coreset.store.book import Book; print(len(Book({url!r}).open('c').studies[0].readings))"
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
    assert (
        sum(statement.startswith("SELECT") for statement in asked) == 4
    )  # the first one asks for the version of the tables
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


def test_what_could_not_be_opened_again_is_not_kept(kept):
    """A value outside its limits is refused when it is kept, not found when the case is next opened."""
    with pytest.raises(BookError, match="must fit the form of a case"):
        kept.keep("c", case(study(elements=(FETCH, dataclasses.replace(SET, per_mold=0.0)))), who="OB7", why="none")
    assert kept.open("c") == case()


def test_a_mapping_is_remembered(book):
    """What was remembered last holds."""
    assert book.mapping("Zeit;Element") is None
    book.remember("Zeit;Element", "{}")
    book.remember("Zeit;Element", '{"reading_s": "Zeit"}')
    assert book.mapping("Zeit;Element") == '{"reading_s": "Zeit"}'
