"""What a standard tells its reader, at the limits where it begins to, and the figure in each sentence."""

import pytest
from study_cases import NAN, case, study

from coreset.case import Correction, Element
from coreset.study.pooling import standards


def told(s, **facts):
    """Blanks of each note by its code."""
    return {note.code: note.blanks for note in standards(case([s], **facts), resamples=20)[0].warnings}


def even(cycles, element="a", **facts):
    """A study of so many even cycles."""
    return study([(c, "a", 9.0) for c in range(1, cycles + 1)], [element], **facts)


def aside(count):
    """So many readings set aside, from the second on."""
    return tuple(
        Correction(seq=k, action="exclude", who="E1", when="2026-01-01", why="stuck") for k in range(2, count + 2)
    )


@pytest.mark.parametrize(("cycles", "count", "percent"), [(20, 1, None), (20, 2, 10.0), (40, 2, None), (40, 3, 7.5)])
def test_more_than_one_in_twenty_set_aside_is_told(cycles, count, percent):
    """5 % is not told, more is, with its share of all readings."""
    found = told(even(cycles, corrections=aside(count))).get("excluded_many")
    assert found is None if percent is None else found["percent"] == pytest.approx(percent)


def test_foreign_rows_are_none_of_the_readings_that_are_counted():
    """1 of 19 readings set aside is 5.3 %, the two foreign rows notwithstanding."""
    rows = [*((c, "a", 9.0) for c in range(1, 20)), (19, "f", 5.0, NAN, "foreign"), (19, "f", 5.0, NAN, "foreign")]
    found = told(study(rows, "a", corrections=aside(1)))
    assert found["excluded_many"]["percent"] == pytest.approx(100 / 19)


@pytest.mark.parametrize(("cycles", "few"), [(9, True), (10, False)])
def test_fewer_than_ten_whole_cycles_are_told(cycles, few):
    """With their number."""
    found = told(even(cycles)).get("few_cycles")
    assert found == ({"study": "S1", "count": cycles} if few else None)


def test_an_assumed_rater_is_told_where_somebody_was_rated():
    """Manual work without a rater's error is told; with one, or with machine work alone, there is nothing to tell."""
    machine = Element(name="a", kind="machine")
    assert "rater_assumed" in told(even(10, rater_sd_pct=None))
    assert "rater_assumed" not in told(even(10, rater_sd_pct=2.0))
    assert "rater_assumed" not in told(even(10, machine, rater_sd_pct=None))
    assert "rater_assumed" not in told(even(10, machine, rater_sd_pct=2.0))


def test_no_wall_clock_is_told_of_a_watch_that_is_set_back():
    """A running watch accounts for itself; one that is set back does so only with the clock's time beside it."""
    ends = {"clock_in": "9:00:00", "clock_out": "9:01:30"}
    running = study([(c, "a", 9.0 * c) for c in range(1, 11)], "a", timing="continuous")
    assert "no_clock" in told(even(10))
    assert "no_clock" not in told(even(10, **ends))
    assert "no_clock" not in told(running)


def test_broken_off_tries_and_elements_never_read_are_told():
    """With how many, and which."""
    rows = [*((c, "a", 9.0) for c in range(1, 11)), (10, "a", 2.0, NAN, "failed"), (10, "a", 2.0, NAN, "failed")]
    found = told(study(rows, ["a", "b"]))
    assert (found["failed_tries"]["count"], found["element_unseen"]["element"]) == (2, "b")
    assert not {"failed_tries", "element_unseen"} & set(told(even(10)))


@pytest.mark.parametrize(
    ("seconds", "rating", "codes"),
    [
        (9.0, 0.95, {"ratings_low"}), (9.0, 2.0, set()), (1800.0, 95.0, set()), (32_400.0, 95.0, {"element_long"}),
        (0.3, 95.0, {"cycle_short"}), (1.0, 95.0, set()),
    ],
)  # fmt: skip
def test_figures_that_no_study_has_are_told(seconds, rating, codes):
    """A rating of 0.95, an element of nine hours, a cycle of 0.3 s: told where they stand, whoever entered them."""
    found = told(study([(c, "a", seconds, rating) for c in range(1, 11)], "a"))
    assert found.keys() & {"ratings_low", "element_long", "cycle_short"} == codes
    assert all(found[code]["study"] == "S1" for code in codes)
