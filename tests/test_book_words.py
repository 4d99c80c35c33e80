"""What a study lacks and where it stands, said in words and in its results."""

import dataclasses

from book_cases import CORRECTION, case, study

from coreset.case import Element, Readings
from coreset.study.header import STATED, lacking
from coreset.study.pooling import standards
from coreset.study.report.timing import lack_sentence, reading_label, reading_rows, standing, trail_rows

FULL = dict.fromkeys(STATED, "known") | {"clock_in": "8:00:00", "clock_out": "8:00:22", "consent": True}
ELEMENTS = (Element(name="fetch", breakpoint="core lifted"), Element(name="set", breakpoint="hands off"))


def test_a_full_header_lacks_nothing():
    """With every field, consent and every breakpoint there is nothing to say."""
    assert lacking(study(elements=ELEMENTS, **FULL)) == ()
    assert lack_sentence(study(elements=ELEMENTS, **FULL)) == ""


def test_each_missing_field_is_named_by_its_meaning():
    """What is missing is named in words, and counted in the results of the study."""
    bare = study(elements=(ELEMENTS[0], Element(name="set")), **(FULL | {"layout": "", "consent": False}))
    assert lacking(bare) == ("layout", "consent", "elements")
    sentence = lack_sentence(bare)
    assert "method and layout in words" in sentence and "breakpoint of every element" in sentence
    (standard,) = standards(case(bare), resamples=50, seed=1)
    notes = {note.code: note.blanks for note in standard.warnings}
    assert notes["header_lacks"]["count"] == 2
    assert "no_consent" in notes


def test_trouble_of_the_clock_is_in_the_results():
    """A study during which the device slept says so wherever its standard is shown."""
    (standard,) = standards(case(study(clock_trouble="slept", **FULL)), resamples=50, seed=1)
    assert "clock_trouble" in {note.code for note in standard.warnings}


def test_the_answer_of_timing():
    """Readings, cycles and exclusions are counted; an empty, a running and a signed study say so."""
    assert standing(study(readings=Readings())).startswith("S1 has no readings yet")
    assert standing(study()) == "S1 holds 4 readings in 2 cycles, 0 of them excluded; it is not signed yet."
    excluded = study(corrections=(CORRECTION,), signed="AP1 2026-11-25T10:00:00+00:00")
    assert standing(excluded).startswith("S1 is signed (AP1 2026-11-25")
    assert "1 excluded" in standing(excluded)
    running = dataclasses.replace(study(), taken_with="clock", clock_in="8:00:00")
    assert "is being timed" in standing(running)


def test_readings_stand_beside_their_corrections():
    """The table shows the raw reading and what was done to it; the trail who, when and why."""
    rows = reading_rows(study(corrections=(CORRECTION,)))
    assert (rows[1]["Watch [s]"], rows[1]["Corrected"]) == ("10.500", "excluded")
    assert trail_rows((CORRECTION,)) == [
        {
            "Reading no.": "2",
            "What": "excluded",
            "Who": "OB7",
            "When": "2026-11-25T10:00",
            "Why": "dropped core",
        }
    ]


def test_what_a_running_watch_showed_is_not_called_the_time_of_an_element():
    """Continuous: the list and the table say that it is the watch; snapback: the reading is the time itself."""
    running = study()
    assert running.timing == "continuous"
    snapped = dataclasses.replace(running, timing="snapback")
    one = next(iter(running.readings))
    assert "watch at" in reading_label(running, one) and "watch" not in reading_label(snapped, one)
    assert "Reading [s]" in reading_rows(snapped)[0] and "Reading [s]" not in reading_rows(running)[0]
