"""Sums of cycles and the numbers behind intervals, by hand and by scipy."""

import math

import numpy as np
import pytest
from scipy import stats
from study_cases import NAN, study

from coreset.case import Correction, Element
from coreset.study.bootstrap import effective_number, interval, lag_one, widening
from coreset.study.cycle_sums import cycle_times, per_mold, sums
from coreset.study.element_times import element_times

B = Element(name="b", occasional=True)


def summed(rows, elements, **facts):
    """Sums of a study of these rows."""
    s = study(rows, elements, **facts)
    return sums(s, element_times(s))


def times_of(found):
    """Times of the whole cycles, seconds, by element."""
    return cycle_times(found, found.observed).T.tolist()


def test_cycles_of_an_element_that_occurs_several_times_by_hand():
    """Three a mold: 2 and 4 s in the first cycle make 9, 5 s in the second 15; once a mold, read twice, its mean."""
    rows = [(1, "a", 2.0), (1, "a", 4.0), (2, "a", 5.0)]
    assert times_of(summed(rows, [Element(name="a", per_mold=3)])) == [[9.0, 15.0]]
    assert times_of(summed(rows, [Element(name="a", per_mold=1)])) == [[3.0, 5.0]]
    assert times_of(summed(rows, [Element(name="a")])) == [[6.0, 5.0]]
    assert times_of(summed(rows, [Element(name="a")], molds_per_cycle=2)) == [[3.0, 2.5]]


def test_cycles_of_a_number_per_mold_add_up_to_the_mold():
    """Once a mold, two molds in each cycle and so two rows: their cycles have the mean of a mold, not twice that."""
    found = summed([(c, "a", x) for c, x in ((1, 4.0), (1, 6.0), (2, 5.0), (2, 7.0))], [Element(name="a", per_mold=1)])
    assert np.mean(times_of(found)) == per_mold(found, np.ones((1, 2)), found.observed)[0, 0] == 5.5


def test_cycles_with_an_occasional_element_by_hand():
    """8 s in the second of four cycles, 2 s a mold: it stays there; two times in it, the sum is scaled to the mean."""
    a = [(c, "a", 10.0) for c in range(1, 5)]
    assert times_of(summed([*a, (2, "b", 8.0)], ["a", B])) == [[10.0] * 4, [0.0, 8.0, 0.0, 0.0]]
    assert times_of(summed([*a, (2, "b", 8.0), (2, "b", 4.0)], ["a", B])) == [[10.0] * 4, [0.0, 12.0, 0.0, 0.0]]
    stated = Element(name="b", occasional=True, per_mold=0.5)
    assert times_of(summed([*a, (2, "b", 8.0)], ["a", stated]))[1] == [0.0, 16.0, 0.0, 0.0]
    every = [*a, *((c, "b", float(c)) for c in range(1, 5))]
    assert times_of(summed(every, ["a", B]))[1] == [1.0, 2.0, 3.0, 4.0]


def test_an_occasional_element_of_broken_cycles_is_laid_on_the_whole_ones():
    """8 s in a cycle whose a was missed, and nowhere else: one in four, 2 s on each of the three whole ones.

    Once there and once in a whole one: 4 s a mold, all of the 12 s of the three whole ones in that one.
    """
    a = [(1, "a", 10.0), (2, "a", 10.0), (3, "a", 10.0), (4, "a", NAN, NAN, "missed")]
    assert times_of(summed([*a, (4, "b", 8.0)], ["a", B])) == [[10.0] * 3, [2.0] * 3]
    assert times_of(summed([*a, (4, "b", 8.0), (1, "b", 8.0)], ["a", B]))[1] == pytest.approx([12.0, 0.0, 0.0])


def test_an_element_never_read_takes_nothing_and_breaks_no_cycle():
    """Nor does one that only ever was missed; where no cycle is whole there is none."""
    assert times_of(summed([(1, "a", 4.0), (2, "a", 6.0)], ["a", "n"])) == [[4.0, 6.0], [0.0, 0.0]]
    broken = summed([(1, "a", 4.0), (2, "n", 6.0)], ["a", "n"])
    assert not broken.whole.any() and cycle_times(broken, broken.observed).shape == (0, 2)


def test_a_draw_of_few_cycles_by_hand():
    """b was read in the first cycle alone: a draw without it takes its mean; a draw of one cycle is that cycle."""
    found = summed([(1, "a", 4.0), (1, "b", 3.0), (2, "a", 6.0)], ["a", "b", "n"])
    drawn_ = per_mold(found, np.array([[1.0, 0.0], [0.0, 2.0], [3.0, 1.0]]), found.observed)
    assert drawn_[:, :2].tolist() == [[4.0, 3.0], [6.0, 3.0], [4.5, 3.0]]
    assert np.isnan(drawn_[:, 2]).all()
    counted = summed([(1, "a", 4.0), (1, "b", 3.0), (2, "a", 6.0)], ["a", B])
    drawn_ = per_mold(counted, np.array([[1.0, 0.0], [0.0, 2.0], [3.0, 1.0]]), counted.observed)
    assert drawn_[:, 1].tolist() == [3.0, 0.0, 2.25]


def test_a_correction_takes_an_occurrence_out_of_the_sums():
    """Of two rows of one cycle one set aside: the other is left where each row counts, neither where the cycle does."""
    rows = [(1, "a", 2.0), (1, "a", 4.0), (2, "a", 5.0)]
    aside = (Correction(seq=2, action="exclude", who="E1", when="2026-01-01", why="stuck"),)
    each = summed(rows, [Element(name="a", per_mold=2)], corrections=aside)
    assert (each.observed.tolist(), each.bottom.tolist()) == ([[2.0], [5.0]], [[1], [1]])
    once = summed(rows, ["a"], corrections=aside)
    assert (once.observed.tolist(), once.bottom.tolist()) == ([[0.0], [5.0]], [[0], [1]])


def test_dependence_and_effective_number_by_hand():
    """1, 2, 3, 4: r = 1.25/5, raised by (1 + 4 r)/4 to 0.75, so 4 x 0.25/1.75 count; three readings count in full."""
    rising = np.array([1.0, 2.0, 3.0, 4.0])
    assert lag_one(rising) == 0.25 and lag_one(np.full(5, 3.0)) == 0.0
    assert effective_number(rising) == pytest.approx(4 / 7)
    assert effective_number(rising[:3]) == 3.0
    eight = np.array([1.0, 2.0, 1.0, 3.0, 2.0, 4.0, 3.0, 4.0])
    off = eight - 2.5
    r = (off[:-1] @ off[1:]) / (off @ off)
    assert effective_number(eight) == pytest.approx(8 * (1 - r - (1 + 4 * r) / 8) / (1 + r + (1 + 4 * r) / 8))
    assert effective_number(np.tile([1.0, 5.0], 10)) == 20.0
    assert effective_number(np.repeat([1.0, 5.0], 500)) == pytest.approx(1000 * 0.05 / 1.95)


@pytest.mark.parametrize("x", [[4.0, 6.0], [4.0, 6.0, 7.0], [1.0, 5.0] * 5])
def test_stretched_draws_make_students_interval(x):
    """Independent readings: (n/(n - 1))^0.5 times Student's t over the normal quantile, by scipy; one is left as is."""
    n = len(x)
    expected = math.sqrt(n / (n - 1)) * stats.t.ppf(0.975, n - 1) / stats.norm.ppf(0.975)
    assert widening(np.array(x)) == pytest.approx(expected)
    assert widening(np.array(x[:1])) == 1.0


def test_stretching_of_very_dependent_draws_has_one_degree_of_freedom():
    """1, 2, 3, 4 count for 4/7: t at one degree, and the root of 4/3 x 7."""
    expected = math.sqrt(4 / 3 * 7) * stats.t.ppf(0.975, 1) / stats.norm.ppf(0.975)
    assert widening(np.array([1.0, 2.0, 3.0, 4.0])) == pytest.approx(expected)


def test_the_middle_of_draws():
    """0 to 1,000: 95 % end at 25 and 975, 80 % at 100 and 900; one draw is its own interval."""
    draws = np.arange(1001.0)
    assert interval(draws) == pytest.approx((25.0, 975.0)) and interval(draws, 0.8) == pytest.approx((100.0, 900.0))
    assert interval(np.array([7.0])) == (7.0, 7.0)
