"""Patterns under both methods, operators, tries and series: small cases by hand and by scipy."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats
from statsmodels.duration.survfunc import SurvfuncRight
from study_cases import NAN, case, study

from coreset.case import Correction, Element, Pattern, Range
from coreset.study.attempts import broken, broken_off, compare_tries, of_series
from coreset.study.method_pairs import cycle_totals, pairs
from coreset.study.pooling import by_pattern, standards
from coreset.study.report import sentences
from coreset.study.series import MOST_DRAWN, drawn, every_series, series

ZIGZAG = (10.0, 12.0, 10.0, 12.0)


def pattern(code):
    """A pattern of that code."""
    return Pattern(pattern=code, molds_per_year=Range.exactly(1e3), runs_per_year=5)


def timed(code, method, times, operator="W1", on="P1"):
    """A study of one element with these times."""
    return study(
        [(c, "a", x) for c, x in enumerate(times)], "a", study=code, method=method, operator=operator, pattern=on
    )


def paired(*studies, codes=("P1",)):
    """What the patterns timed under both methods come to."""
    found = case(studies, baseline="manual", candidate="setter", patterns=tuple(map(pattern, codes)))
    single = standards(found, resamples=20)
    return pairs(found, single, by_pattern(single))


def test_operators_timed_under_both_methods_by_hand():
    """W1 10 against 8 s and 12 against 8 s in another study, W2 11 against 7 s: 3 s less and 4 s less; W3 under one.

    Student's interval of -3 and -4 by scipy; W1's two studies by hand are one mean.
    """
    found = paired(
        timed("A", "manual", [10.0] * 4), timed("B", "manual", [12.0] * 4), timed("C", "setter", [8.0] * 4),
        timed("D", "manual", [11.0] * 4, "W2"), timed("E", "setter", [7.0] * 4, "W2"),
        timed("F", "manual", [30.0] * 4, "W3"), timed("G", "setter", [1.0] * 4, "W1", on="P2"),
    )  # fmt: skip
    assert [one.pattern for one in found] == ["P1"]
    one, theirs = found[0], stats.ttest_1samp([-3.0, -4.0], 0)
    assert (one.operators, one.found.paired) == (("W1", "W2"), 2)
    assert one.by_operator == pytest.approx((-3.5, *theirs.confidence_interval(), theirs.pvalue))
    assert (len(one.baseline_s), len(one.candidate_s)) == (16, 8) and one.tries is None
    assert one.crew.value == (8 + 7) / 2 - (10 + 12 + 11 + 30) / 4
    assert one.crew.low < one.crew.value < one.crew.high < 0 and one.verdict == "faster"


def test_a_difference_of_the_cycles_timed_is_not_yet_one_of_the_crew():
    """40 even cycles of one operator, 4 % apart: the cycles differ beyond chance, the crew may not; which, is said."""
    times = [10.0, 10.1] * 20
    found = case(
        (timed("A", "manual", times), timed("B", "setter", [0.96 * x for x in times], "W2")), baseline="manual",
        candidate="setter", patterns=(pattern("P1"),),
    )  # fmt: skip
    single = standards(found, resamples=2000)
    (one,) = pairs(found, single, by_pattern(single))
    assert (one.found.verdict, one.verdict) == ("faster", "unclear")
    assert "time more operators" in sentences.verdict(one, found)


def test_one_operator_makes_no_interval_over_operators():
    """Named, and counted as one."""
    one = paired(timed("A", "manual", ZIGZAG), timed("C", "setter", ZIGZAG))[0]
    assert (one.operators, one.found.paired, one.by_operator) == (("W1",), 1, None)
    assert (one.verdict, one.found.mean_difference.value) == ("unclear", 0.0)


@pytest.mark.parametrize(("manual", "setter", "count"), [(4, 4, 1), (3, 4, 0), (4, 3, 0), (0, 4, 0), (4, 0, 0)])
def test_patterns_with_four_cycles_of_each_are_paired(manual, setter, count):
    """Fewer of either, or none, is left out."""
    studies = [timed("A", "manual", ZIGZAG[:manual]), timed("C", "setter", ZIGZAG[:setter])]
    assert len(paired(*studies)) == count


def test_patterns_are_paired_each_with_its_own_studies():
    """In the order of the case, operators counted for their own pattern alone."""
    found = paired(
        timed("A", "manual", ZIGZAG), timed("B", "setter", [9.0, 11.0] * 2),
        timed("C", "manual", [20.0, 22.0] * 2, on="P2"), timed("D", "setter", [15.0, 17.0] * 2, "W2", on="P2"),
        codes=("P2", "P1"),
    )  # fmt: skip
    assert [(one.pattern, one.found.mean_difference.value, one.operators) for one in found] == [
        ("P2", -5.0, ()), ("P1", -1.0, ("W1",)),
    ]  # fmt: skip


def test_cycles_are_compared_without_occasional_elements():
    """a and c of each cycle, b left out."""
    rows = [(c, e, x) for c in (1, 2) for e, x in (("a", 5.0 + c), ("b", 9.0), ("c", 1.0))]
    one = standards(case([study(rows, ["a", Element(name="b", occasional=True), "c"])]), resamples=20)[0]
    assert cycle_totals(one).tolist() == [7.0, 8.0]
    assert cycle_totals(replace(one, cycle_standard_s={})).shape == (0,)


def test_the_verdict_is_by_tries_where_some_were_broken_off():
    """Slow tries against quick ones, both ways round, with scipy's log-rank test; few of them are unclear."""
    slow = study([(c, "a", 20.0 + c) for c in range(8)] + [(8, "a", 30.0, NAN, "failed")], "a", study="S")
    fast = study([(c, "a", 10.0 + c) for c in range(8)], "a", study="F", method="setter")
    found, turned = compare_tries([slow], [fast]), compare_tries([fast], [slow])
    theirs = stats.logrank(
        stats.CensoredData(uncensored=20.0 + np.arange(8), right=[30.0]), stats.CensoredData(10.0 + np.arange(8))
    )
    assert (found.verdict, turned.verdict) == ("faster", "slower")
    assert (found.p, turned.p) == pytest.approx((theirs.pvalue, theirs.pvalue)) and found.z == pytest.approx(-turned.z)
    assert (found.first.tries, found.first.done, found.first.median_s, found.first.method) == (9, 8, 24.0, "manual")
    middle = SurvfuncRight(np.array([*range(20, 28), 30.0]), np.array([1] * 8 + [0])).quantile_ci(0.5, method="cloglog")
    assert (found.first.median_low_s, found.first.median_high_s) == middle
    assert compare_tries([slow], [slow]).verdict == "unclear"
    assert broken_off([fast, slow]) and not broken_off([fast])
    assert paired(*(replace(s, pattern="P1") for s in (slow, fast)))[0].verdict == "faster"


def test_which_elements_were_broken_off():
    """One of them by name, any with no name."""
    s = study([(1, "a", 4.0, NAN, "failed"), (1, "a", 6.0), (1, "b", 3.0), (2, "b", 0.0)], "ab")
    assert (broken(s, "a"), broken(s, "b"), broken(s, "")) == (True, False, True)
    assert of_series(s, "b")[0].tolist() == [3.0]
    assert not broken(study([(1, "a", 4.0)], "a"), "")
    short = study([(1, "a", 0.4), (1, "b", 0.5)], "ab")
    assert of_series(short, "a")[0].tolist() == [0.4]


def test_series_of_the_cycle_and_of_each_element():
    """Machine time is not by hand; what was set aside is shown and not used; b's cycle is whole without it."""
    aside = (Correction(seq=3, action="exclude", who="E1", when="2026-01-01", why="stuck"),)
    rows = [(1, "a", 5.0), (1, "m", 2.0), (2, "a", 6.0), (2, "m", 2.0), (3, "a", 7.0), (3, "m", 3.0)]
    s = study(rows, ["a", Element(name="m", kind="machine"), Element(name="b", occasional=True)], corrections=aside)
    whole, a, m = every_series(s)
    assert [(one.element, one.manual) for one in (whole, a, m)] == [("", False), ("a", True), ("m", False)]
    assert whole.seconds.tolist() == [7.0, 8.0, 10.0] and whole.used.tolist() == [True, False, True]
    assert (a.kept.tolist(), m.kept.tolist()) == ([5.0, 7.0], [2.0, 3.0])
    assert series(s, "m").seconds.tolist() == m.seconds.tolist() and series(s).element == ""


@pytest.mark.parametrize(("count", "marked"), [(600, 0), (601, 0), (1000, 5), (5000, 400)])
def test_points_drawn_of_many(count, marked):
    """Up to 600 all; of more the ends and no more than 600, up to half of them that stand out, evenly otherwise."""
    out = np.zeros(count, bool)
    out[np.arange(marked) * 7 + 3] = True
    found = drawn(count, out)
    assert len(found) <= MOST_DRAWN and (found[0], found[-1]) == (0, count - 1)
    assert (
        len(found) == count
        if count <= MOST_DRAWN
        else np.diff(found).max() <= 2 * count / (MOST_DRAWN - min(marked, 300))
    )
    assert set(np.flatnonzero(out)[:300]) <= set(found.tolist())
