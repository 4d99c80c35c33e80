"""The elements of a plant: one entry a name, described once, renamed in every study, spellings offered for merging."""

from dataclasses import replace

from study_cases import case, study

from coreset.case import Driver, Element
from coreset.store.book import Book
from coreset.study.library import alike, blocked, described, joined, library, renamed
from coreset.study.report.library import library_rows

SEAT = Element(name="set core", breakpoint="core seats", per_mold=0.25, occasional=True, kind="machine")
ROWS = [(1, "set core", 4.0), (2, "set core", 5.0)]


def two():
    """Two studies that spell one element in two ways, and a driver of the second spelling."""
    other = study([(c, "Set  Core", s) for c, _, s in ROWS], ["Set  Core"], study="S2", pattern="P2")
    drivers = (Driver(method="manual", element="Set  Core", by="mass"),)
    return replace(case([study(ROWS, ["set core"]), other]), drivers=drivers)


def test_a_new_study_takes_over_what_the_library_knows():
    """Breakpoint, kind and frequency by name, whatever its capitals; not where something else was said."""
    found = case([study(ROWS, [SEAT])])
    assert described(library(found), Element(name="Set Core")) == SEAT
    own = Element(name="set core", kind="machine")
    close = Element(name="close")
    assert described(library(found), own) == own and described(library(found), close) == close
    assert [tuple(row.values()) for row in library_rows(library(found))] == [
        ("set core", "core seats", "machine-controlled", "every 4 molds", "S1")
    ]


def test_other_cases_of_the_plant_add_what_this_one_does_not_have():
    """The case's own words come first; studies of the others stand with the name of their case."""
    here = case([study([(1, "Set core", 4.0)], ["Set core"])])
    there = case([study([(1, "set core", 4.0), (1, "blow off", 2.0)], [SEAT, "blow off"])])
    found = joined(library(here), {"line 2": library(there)})
    assert [(entry.element.name, entry.studies) for entry in found] == [
        ("Set core", ("S1", "line 2: S1")), ("blow off", ("line 2: S1",)),
    ]  # fmt: skip


def test_two_spellings_are_offered_and_made_one():
    """Both studies have one name, the driver follows, the earlier name is remembered; a signed study keeps its own."""
    found = two()
    assert alike(entry.element.name for entry in library(found)) == (("Set  Core", "set core"),)
    made = renamed(found, "Set  Core", "set core")
    assert [entry.studies for entry in library(made)] == [("S1", "S2")]
    assert made.studies[1].elements == (Element(name="set core", earlier=("Set  Core",)),)
    assert made.drivers[0].element == "set core" and blocked(found, "Set  Core", "set core") == ()
    signed = replace(found, studies=(found.studies[0], replace(found.studies[1], signed="AP1 2026-11-29")))
    assert blocked(signed, "Set  Core", "set core") == ("S2",)
    assert renamed(signed, "Set  Core", "set core") == signed


def test_a_merged_element_keeps_its_readings_in_the_database(tmp_path):
    """After the merge the readings of both studies stand under the one name, as taken."""
    book = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    book.keep("c", two(), who="OB1", why="entered")
    book.keep("c", renamed(book.open("c"), "Set  Core", "set core"), who="OB1", why="one element")
    now = book.open("c")
    book.close()
    assert [set(one.readings.element) for one in now.studies] == [{"set core"}, {"set core"}]
    assert [one.readings.reading_s for one in now.studies] == [(4.0, 5.0), (4.0, 5.0)]
