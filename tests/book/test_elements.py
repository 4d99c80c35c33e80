"""Elements that are renamed, added or taken away: readings keep their place or the edit is refused."""

import dataclasses

import pytest
from book_cases import CORRECTION, FETCH, SET, case, sitting, study

from coreset.case import Element, Readings
from coreset.errors import BookError
from coreset.store.book.presses import Press


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


def test_undo_leaves_no_reading_without_its_element(book):
    """An element that has been pressed since it was added cannot be taken away by undo."""
    book.keep("c", case(study(readings=Readings(), elements=(FETCH,))), who="OB7", why="entered")
    edited(book, FETCH, SET)
    book.take("c", "S1", "d1", sitting())
    with pytest.raises(BookError, match="element 2 of study 'S1' must stay 'set'"):
        book.undo("c", who="OB7")
