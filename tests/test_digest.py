"""The name of a case's content: the same for the same values, another for any other value."""

import dataclasses

from book_cases import case, study
from cases import cases
from hypothesis import HealthCheck, given, settings

from coreset.case import Correction
from coreset.case.digest import digest
from coreset.store.book import Book


@settings(max_examples=2, deadline=None, suppress_health_check=list(HealthCheck))
@given(cases())
def test_a_case_has_one_name(drawn):
    """A copy of a case has its name; a changed title, reading or note has not."""
    assert digest(dataclasses.replace(drawn)) == digest(drawn)
    assert digest(dataclasses.replace(drawn, title=drawn.title + "x")) != digest(drawn)


def test_every_column_of_the_readings_counts():
    """A change of one value in one column of one study changes the name."""
    plain = case(study("S1"), study("S2"))
    names = {digest(plain)}
    last = plain.studies[1].readings
    for field in dataclasses.fields(last):
        column = getattr(last, field.name)
        other = (*column[:-1], column[-1] + ("x" if isinstance(column[-1], str) else 1))
        if field.name == "rating":
            other = (*column[:-1], 77.0)
        changed = dataclasses.replace(plain.studies[1], readings=dataclasses.replace(last, **{field.name: other}))
        names.add(digest(dataclasses.replace(plain, studies=(plain.studies[0], changed))))
    assert len(names) == 1 + len(dataclasses.fields(last))


def test_readings_stay_with_their_study():
    """The same readings under another study are another case."""
    one, two = study("S1"), study("S2")
    none = dataclasses.replace(two, readings=dataclasses.replace(two.readings, **_empty()))
    swapped = dataclasses.replace(one, readings=none.readings)
    assert digest(case(one, none)) != digest(case(swapped, two))


def _empty():
    return dict.fromkeys(("seq", "cycle", "element", "reading_s", "rating", "mark", "note"), ())


def test_a_case_opened_twice_has_one_name(tmp_path):
    """Values count, not which object holds them; a correction that was added since changes the name."""
    book = Book(f"sqlite:///{tmp_path / 'b.sqlite'}")
    book.keep("c", case(), who="OB7", why="entered")
    before = digest(book.open("c"))
    assert digest(book.open("c")) == before
    made = Correction(seq=2, action="exclude", who="OB7", when="2026-11-25T10:00", why="dropped the core")
    book.correct("c", "S1", made)
    assert digest(book.open("c")) != before
    book.close()
