"""Several studies of one pattern and method: what is weighted, and how far studies that differ widen the interval."""

from dataclasses import replace

import numpy as np
import pytest
from study_cases import case, study

from coreset.assess import Warned
from coreset.brief.warnings import warnings
from coreset.case import Element
from coreset.study.counting import challenges, counting
from coreset.study.pooling import between_sd, by_pattern, standards


def stated(standard_s, cycles, draws, **facts):
    """A standard of one element with this time, number of cycles and draws."""
    one = standards(case([study([(1, "a", standard_s)], "a")]), resamples=2)[0]
    return replace(one, standard_s=standard_s, cycles=cycles, draws_s=np.asarray(draws, float), **facts)


def test_scatter_between_studies_by_hand():
    """10 and 14 s scatter with the variance 8; of it 1 is that of each study's draws, +/-1: the root of 7 is left."""
    assert between_sd([stated(10, 3, [9, 11]), stated(14, 1, [13, 15])]) == pytest.approx(np.sqrt(7))
    assert between_sd([stated(10, 3, [10, 10]), stated(14, 1, [14, 14])]) == pytest.approx(np.sqrt(8))


def test_studies_that_agree_have_no_scatter_between_them():
    """Means alike, or nearer than their own scatter would bring them: 0, not the root of something below 0."""
    assert between_sd([stated(10, 3, [9, 11]), stated(10, 1, [9, 11])]) == 0.0
    assert between_sd([stated(10, 3, [5, 15]), stated(11, 1, [6, 16])]) == 0.0


def test_draws_of_studies_are_weighted_and_widened_by_hand():
    """3 cycles of 10 s, 1 of 14 s, without scatter: 11 s, sd 8^0.5 (0.75^2 + 0.25^2)^0.5 = 5^0.5, normal in shape."""
    rows = [stated(10, 3, np.full(40_000, 10.0)), stated(14, 1, np.full(40_000, 14.0))]
    found = by_pattern(rows)["P1", "manual"]
    assert found.draws_s.mean() == pytest.approx(11.0, abs=0.05)
    assert found.draws_s.std() == pytest.approx(np.sqrt(5), rel=0.02)
    assert found.standard_low_s == pytest.approx(11 - 1.96 * np.sqrt(5), abs=0.1)
    assert found.standard_high_s == pytest.approx(11 + 1.96 * np.sqrt(5), abs=0.1)


def test_draws_keep_their_own_scatter_where_studies_agree():
    """Alike but for the draws: the pooled draws are the weighted ones, draw by draw; the shortest list counts."""
    found = by_pattern([stated(10, 3, [8, 12, 9, 11]), stated(10, 1, [12, 8])])["P1", "manual"]
    assert found.draws_s.tolist() == [0.75 * 8 + 0.25 * 12, 0.75 * 12 + 0.25 * 8]


def test_studies_without_a_whole_cycle_weigh_the_same():
    """In neither was any cycle read whole: the mean of the two; the facts that do not add are those of the first."""
    rows = [stated(10, 0, [10, 10], study="S1", crew=1.0), stated(10, 0, [10, 10], study="S2", crew=2.0)]
    rows[1] = replace(rows[1], normal_s=30.0)
    found = by_pattern(rows)["P1", "manual"]
    assert (found.standard_s, found.normal_s, found.cycles, found.crew) == (10.0, 20.0, 0, 1.0)
    assert found.study == "S1 + S2"


def test_studies_of_unlike_elements_are_not_averaged():
    """Of studies divided otherwise those like the newest count, of one day the one of most cycles; which, is told."""
    first = study([(1, "a", 5.0), (1, "b", 2.0), (2, "a", 7.0), (2, "b", 4.0)], "ab", study="A", date="2026-03-01")
    other = study([(1, "a", 9.0)], "a", study="B", date="2026-03-01")
    found = standards(case([first, other]), resamples=50)
    assert by_pattern(found)["P1", "manual"].standard_s == 9.0  # (5 + 7 + 2 + 4)/2
    assert [note.blanks["element"] for note in challenges(found)] == ["b"]
    later = standards(case([first, replace(other, date="2026-03-02")]), resamples=50)
    assert by_pattern(later)["P1", "manual"].study == "B"
    rare = study([(1, "a", 9.0)], [Element(name="a"), Element(name="c", occasional=True, per_mold=0.1)], study="C")
    assert [row.study for row in counting(standards(case([other, rare]), resamples=2))] == ["B", "C"]


def test_studies_divided_alike_are_not_told_of():
    """The same elements in another order, another method, a single study: nothing to tell; else which, and of whom."""
    both = (
        study([(1, "a", 5.0), (1, "b", 2.0)], "ab", study="A"),
        study([(1, "b", 2.0), (1, "a", 5.0)], "ba", study="B"),
    )
    assert not list(challenges(standards(case(list(both)), resamples=2)))
    assert not list(challenges(standards(case([both[0], study([(1, "c", 1.0)], "c", method="setter")]), resamples=2)))
    one = study([(1, "c", 1.0), (1, "a", 1.0)], "ca", study="C")
    (note,) = challenges(standards(case([*both, one]), resamples=2))
    assert note.blanks == {"pattern": "P1", "method": "manual", "element": "b, c"}
    told = warnings([Warned(room="study", code=note.code, blanks=note.blanks)])
    assert told[0].endswith("rename their elements: P1 manual (b, c).")
