"""At the limits of what readings can say: none, few, all alike, all set aside, strictly rising."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats
from study_cases import NAN, case, study

from coreset.case import Core, Correction, Element, Lift, Pattern, Range
from coreset.study.attempts import of_series, tries
from coreset.study.bootstrap import interval
from coreset.study.comparison import compare, rank_test, welch
from coreset.study.distribution_fit import fits_or_none
from coreset.study.drivers import drivers
from coreset.study.element_times import element_times
from coreset.study.estimate import data, estimated
from coreset.study.learning_curve import fit as learnt
from coreset.study.outliers import flagged
from coreset.study.pooling import by_pattern, standards
from coreset.study.run_order import runs_test, trend_test
from coreset.study.sample_size import precision

WHO = {"who": "E1", "when": "2026-01-01", "why": "stuck"}
ASIDE = tuple(Correction(seq=seq, action="exclude", **WHO) for seq in (1, 2))
NOTHING = {
    "foreign time alone": ([(1, "gone", 5.0, NAN, "foreign")], ()),
    "a missed breakpoint": ([(1, "a", NAN, NAN, "missed")], ()),
    "a try broken off": ([(1, "a", 4.0, NAN, "failed")], ()),
    "all set aside": ([(1, "a", 5.0), (2, "a", 6.0)], ASIDE),
}


@pytest.mark.parametrize("name", NOTHING)
def test_a_study_in_which_nothing_was_read_whole_gives_no_standard(name):
    """It is left out as if it were empty, beside another one that stands; no mold takes 0 s."""
    rows, corrections = NOTHING[name]
    nothing = study(rows, "a", study="S2", corrections=corrections)
    assert standards(case([nothing]), resamples=50) == ()
    found = standards(case([nothing, study([(1, "a", 8.0), (2, "a", 8.0)], "a")]), resamples=50)
    assert [(row.study, row.standard_s) for row in found] == [("S1", 8.0)]


def test_times_of_nothing_have_no_precision():
    """Readings of 0 s cannot be precise to a share of themselves; the study still closes."""
    assert math.isnan(precision([0.0, 0.0, 0.0]))
    row = standards(case([study([(c, "a", 0.0) for c in (1, 2, 3)], "a")]), resamples=50)[0]
    assert row.standard_s == 0.0 and math.isnan(row.precision)


def test_a_relabelled_reading_can_be_restored():
    """Relabel and rerate, then restore: the reading counts again as taken."""
    rows = [(1, "a", 10.0, 100.0), (1, "b", 4.0, 100.0)]
    made = (
        Correction(seq=2, action="relabel", value="a", **WHO),
        Correction(seq=2, action="rerate", value="120", **WHO),
        Correction(seq=2, action="exclude", **WHO),
    )
    changed = study(rows, "ab", corrections=made)
    timed = element_times(changed)
    assert (timed.element.tolist(), timed.rating.tolist()) == ([0, 0], [100.0, 120.0]) and timed.excluded[1]
    timed = element_times(replace(changed, corrections=(*made, Correction(seq=2, action="restore", **WHO))))
    assert (timed.element.tolist(), timed.rating.tolist()) == ([0, 1], [100.0, 100.0]) and not timed.excluded.any()


def test_a_standard_tells_what_its_taking_leaves_open():
    """No consent and a clock that slept are told by name; with consent and a clock that ran, neither."""
    rows = [(c, "a", 9.0) for c in range(1, 4)]
    bad = study(rows, "a", consent=False, clock_trouble="slept for 12 s")
    codes = {note.code for note in standards(case([bad]), resamples=50)[0].warnings}
    assert {"no_consent", "clock_trouble"} <= codes
    good = {note.code for note in standards(case([study(rows, "a")]), resamples=50)[0].warnings}
    assert codes - good == {"no_consent", "clock_trouble"}


def test_constants_that_differ_are_told_apart():
    """20 s every time against 10 s every time: faster beyond doubt, as SciPy's t test has it; alike: nothing told."""
    found = compare([20.0] * 10, [10.0] * 10)
    assert (found.verdict, found.more_cycles, found.welch_p) == ("faster", 0, 0.0)
    assert found.mean_difference.low == found.mean_difference.high == -10.0
    with np.errstate(all="ignore"), pytest.warns(RuntimeWarning):
        theirs = stats.ttest_ind([20.0] * 10, [10.0] * 10, equal_var=False)
    assert welch([20.0] * 10, [10.0] * 10)[::2] == (theirs.statistic, theirs.pvalue) == (math.inf, 0.0)
    assert compare([10.0] * 10, [20.0] * 10).verdict == "slower"
    same = compare([10.0] * 10, [10.0] * 10)
    assert (same.verdict, same.welch_p, same.rank_p) == ("unclear", 1.0, 1.0)
    assert rank_test([3.0] * 4, [3.0] * 6) == 1.0


def test_order_of_few_or_monotone_readings():
    """Strictly rising times correlate with their order entirely, as spearmanr has it; too few or equal say nothing."""
    for x in ([3.0, 5.0, 8.0, 9.0], [9.0, 8.0, 5.0, 3.0]):
        found, theirs = trend_test(x), stats.spearmanr(range(4), x)
        assert (found.statistic, found.p) == (pytest.approx(theirs.statistic), pytest.approx(theirs.pvalue, abs=1e-12))
    assert trend_test([1.0, 2.0, 3.0]).p == trend_test([4.0] * 9).p == 1.0
    for x in ([5.0] * 8, [1.0, 2.0], []):
        assert math.isnan(runs_test(x).statistic) and runs_test(x).p == 1.0
    assert runs_test([1.0, 2.0, 3.0, 4.0], about=0.5).p == 1.0


def test_few_readings_are_flagged_by_fences_alone():
    """Five readings: the one beyond the fences on logarithms, calculated by numpy; three give no flag at all."""
    x = np.array([10.0, 10.5, 11.0, 10.8, 90.0])
    low, high = np.quantile(np.log(x), [0.25, 0.75])
    assert (np.log(x) > high + 1.5 * (high - low)).tolist() == [False] * 4 + [True]
    assert flagged(x).tolist() == [False] * 4 + [True]
    assert not flagged([1.0, 1.0, 500.0]).any() and not flagged([0.0, np.nan, 1.0, 1.0, 500.0]).any()


def test_what_cannot_be_drawn_or_fitted_is_none():
    """No finite draw has no interval; seven times have no learning curve; alike or negative ones no shape."""
    assert np.isnan(interval(np.array([]))).all() and np.isnan(interval(np.array([np.nan, np.inf]))).all()
    assert interval(np.array([np.nan, 4.0, 4.0])) == (4.0, 4.0)
    falling = 20 + 20 * np.arange(1.0, 9.0) ** -0.5
    assert learnt(falling[:7]) is None and learnt(falling) is not None
    assert fits_or_none([5.0] * 40) == fits_or_none([-1.0, *[5.0, 6.0] * 20]) == ()


def test_tries_of_one_element_stand_by_themselves():
    """a broken off after 4 s, done after 6: two tries of a; the cycle itself is one of 4 + 6 + 3 s, done."""
    rows = [(1, "a", 4.0, NAN, "failed"), (1, "a", 6.0), (1, "b", 3.0), (2, "a", 5.0), (2, "b", 2.0, NAN, "failed")]
    found = study(rows, "ab")
    times, done = of_series(found, "a")
    assert (times.tolist(), done.tolist()) == ([4.0, 6.0, 5.0], [False, True, True])
    times, done = of_series(found, "")
    assert (times.tolist(), done.tolist()) == ([13.0, 7.0], [True, False])
    assert times.tolist() == tries(found)[0].tolist()


def test_a_pattern_that_would_take_no_time_is_not_estimated():
    """Times of 6 s a kg less 24 s: a core of 5 kg is estimated at 6 s, one of 2 kg, at -12 s, is not estimated."""
    masses = {"P1": 6.0, "P2": 7.0, "P3": 8.0, "P4": 9.5, "P5": 11.0}
    timed = [
        study([(c, "set", 6 * mass - 24) for c in range(1, 6)], [Element(name="set")], study=code, pattern=code)
        for code, mass in masses.items()
    ]
    every = masses | {"LIGHT": 2.0, "SMALL": 5.0}
    found = case(
        timed,
        patterns=tuple(Pattern(pattern=code, molds_per_year=Range.exactly(1e3), runs_per_year=5) for code in every),
        cores=tuple(Core(pattern=code, core="A", mass=mass) for code, mass in every.items()),
    )
    pooled = by_pattern(standards(found, resamples=50))
    assert data(found, pooled)[0].elements[0].fitted.coefficients == pytest.approx([-24, 6])
    rows = {row.pattern: row for row in estimated(found, pooled, resamples=50)}
    assert ("LIGHT" in rows, rows["SMALL"].standard_s) == (False, pytest.approx(6.0))
    assert "estimated_outside" in [note.code for note in rows["SMALL"].warnings]


def test_an_estimate_is_the_line_and_its_interval_of_prediction_by_scipy():
    """Two elements, one that grows with the mass and one that does not: what scipy's line foretells, and its interval.

    The interval of prediction of a new observation on a straight line: [montgomery1982] and any textbook.
    """
    masses = {"P1": 6.0, "P2": 7.0, "P3": 8.5, "P4": 9.5, "P5": 11.0, "P6": 12.0}
    off = dict(zip(masses, (0.3, -0.4, 0.2, 0.5, -0.3, -0.2), strict=True))
    timed = [
        study([(c, name, s) for c in range(1, 6) for name, s in (("set", 2 * mass + off[code]), ("blow", 4.0))],
              [Element(name="set"), Element(name="blow")], study=code, pattern=code)
        for code, mass in masses.items()
    ]  # fmt: skip
    every = masses | {"NEW": 10.0}
    found = case(
        timed,
        patterns=tuple(Pattern(pattern=code, molds_per_year=Range.exactly(1e3), runs_per_year=5) for code in every),
        cores=tuple(Core(pattern=code, core="A", mass=mass) for code, mass in every.items()),
    )
    pooled = {key: row for key, row in by_pattern(standards(found, resamples=50)).items() if not row.estimated}
    x, y = np.array(list(masses.values())), np.array([row.standard_s for row in pooled.values()])
    line = stats.linregress(x, y)
    middle = line.intercept + line.slope * 10.0
    s = np.sqrt(((y - line.intercept - line.slope * x) ** 2).sum() / 4)
    half = stats.t.ppf(0.975, 4) * s * np.sqrt(1 + 1 / 6 + (10.0 - x.mean()) ** 2 / ((x - x.mean()) ** 2).sum())
    one = data(found, pooled)[0]
    values = drivers(found, "NEW", "manual")
    assert one.interval(values) == pytest.approx((middle, middle - half, middle + half))
    assert one.foretell(values)["blow"] == pytest.approx(4.0)
    row = estimated(found, pooled, resamples=40_000)[0]
    assert row.standard_s == pytest.approx(middle)
    shared = np.mean([one.draws_s / one.standard_s for one in pooled.values()], axis=0)
    assert row.standard_low_s < middle - half and middle + half < row.standard_high_s, (
        "what the patterns share is in it"
    )
    wide = np.hypot(half, 1.96 * middle * shared.std())
    assert (row.standard_high_s - row.standard_low_s) / 2 == pytest.approx(wide, rel=0.2)
    near = min(pooled.values(), key=lambda row: abs(row.standard_s - middle))
    for part, theirs in zip(row.elements, near.elements, strict=True):
        share = one.foretell(values)[part.element] / theirs.standard_s
        assert part.observed_s == pytest.approx(theirs.observed_s * share)
        assert (part.readings, part.missed, part.excluded) == (0, 0, 0)


def test_the_way_of_a_lift_by_hand():
    """30 cm before the feet to 40 cm at the side, 24 cm higher, twice: 50 cm flat by Pythagoras, and the height."""
    one = Lift(task="t", method="manual", pattern="P1", core="A", horizontal_origin=30.0, horizontal_destination=40.0,
               vertical_origin=70.0, vertical_destination=94.0, asymmetry_origin_deg=20.0,
               asymmetry_destination_deg=110.0, lifts_per_mold=2.0)  # fmt: skip
    others = (replace(one, task="o", method="core setter"), replace(one, task="n", pattern="P2"),
              replace(one, task="r", lifts_per_mold=0.0), replace(one, task="m", core=""))  # fmt: skip
    cores = (Core(pattern="P1", core="A", mass=4.0, per_mold=2), Core(pattern="P1", core="B", mass=3.0))
    found = drivers(case([], lifts=(one, *others), cores=cores), "P1", "manual")
    assert found["distance"] == pytest.approx(2 * np.hypot(0.5, 0.24))
    assert (found["cores"], found["mass"], found["heaviest"]) == (3.0, 11.0, 4.0)
