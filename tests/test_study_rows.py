"""The rows of a standard, its draws and what it tells, each laid out so that it can be redone on paper."""

import math
from dataclasses import replace

import numpy as np
import pytest
from study_cases import NAN, case, study

from coreset.case import Correction, Element
from coreset.study import sample_size
from coreset.study.cycle_sums import sums
from coreset.study.element_times import element_times
from coreset.study.pooling import standards

WHO = {"who": "E1", "when": "2026-01-01", "why": "stuck"}
ROWS = [
    (1, "a", 3.0, NAN, "failed"), (1, "a", 10.0, 120.0), (1, "c", 5.0), (1, "d", 2.0), (1, "d", 4.0),
    (2, "a", 6.0, 120.0), (2, "a", 6.0), (2, "c", 7.0), (2, "d", 5.0), (2, "b", 8.0),
    (3, "a", NAN, NAN, "missed"), (3, "c", 6.0), (3, "d", 3.0), (4, "a", 99.0), (4, "c", 6.0),
]  # fmt: skip
ELEMENTS = [
    Element(name="a", rating_pct=90.0), Element(name="b", rating_pct=80.0, occasional=True),
    Element(name="c", kind="machine"), Element(name="d", rating_pct=100.0, per_mold=3), Element(name="e"),
]  # fmt: skip
ASIDE = (Correction(seq=14, action="exclude", **WHO),)
MIXED = study(ROWS, ELEMENTS, corrections=ASIDE, allowances="flat")


def row(found, name):
    """An element's row."""
    return next(e for e in found.elements if e.element == name)


def test_the_row_of_an_element_once_a_cycle_by_hand():
    """13 s with the broken-off try, 12 s in two rows, one cycle missed, one set aside: 12.5 s; 10 % on top.

    Normal: 3 x 0.9 + 10 x 1.2 = 14.7 and 6 x 1.2 + 6 x 0.9 = 12.6, mean 13.65; ratings of good rows 120, 120, 90.
    """
    found = row(standards(case([MIXED], percent=10), resamples=50)[0], "a")
    assert (found.readings, found.excluded, found.missed, found.failed) == (2, 1, 1, 1)
    assert (found.mean_s, found.sd_s, found.per_mold) == pytest.approx((12.5, math.sqrt(0.5), 1.0))
    assert (found.observed_s, found.normal_s, found.standard_s) == pytest.approx((12.5, 13.65, 15.015))
    assert (found.rating_pct, found.allowance_pct) == pytest.approx((110.0, 10.0))
    assert found.readings_needed == sample_size.needed([13.0, 12.0]) > 0


def test_the_rows_of_other_elements_by_hand():
    """Occasional, 8 s once in four; by the machine 6 s; three times a mold, 3.5 s each; never read."""
    found = standards(case([MIXED], percent=10), resamples=50)[0]
    b, c, d, e = (row(found, name) for name in "bcde")
    assert (b.readings, b.readings_needed, b.mean_s, b.per_mold) == (1, 0, 8.0, 0.25) and math.isnan(b.sd_s)
    assert (b.observed_s, b.normal_s, b.standard_s) == pytest.approx((2.0, 1.6, 1.76))
    assert (c.readings, c.mean_s, c.allowance_pct, c.standard_s) == (4, 6.0, 0.0, 6.0) and math.isnan(c.rating_pct)
    assert (d.readings, d.mean_s, d.per_mold, d.observed_s) == (4, 3.5, 3.0, 10.5)
    assert (d.sd_s, d.normal_s, d.standard_s) == pytest.approx((np.std([2, 4, 5, 3], ddof=1), 10.5, 11.55))
    assert d.readings_needed == sample_size.needed([2.0, 4, 5, 3])
    assert (e.readings, e.observed_s, e.standard_s, e.readings_needed) == (0, 0.0, 0.0, 0)
    assert math.isnan(e.mean_s) and math.isnan(e.per_mold) and math.isnan(e.rating_pct)
    assert (found.observed_s, found.normal_s) == pytest.approx((31.0, 31.75))
    assert found.standard_s == pytest.approx(15.015 + 1.76 + 6 + 11.55)
    rare = [(0.25, 8.0, 0.0, True)]
    asked = sample_size.cycles_needed([13 + 5 + 9.0, 12 + 7 + 15.0], mean=31.0, occasional=rare)
    assert (found.cycles, found.cycles_needed) == (2, asked)


def test_two_molds_a_cycle_halve_what_is_read_once_a_cycle():
    """a, b and c count half, d goes by its number for one mold."""
    found = standards(case([replace(MIXED, molds_per_cycle=2)], percent=10), resamples=50)[0]
    assert [e.observed_s for e in found.elements] == pytest.approx([6.25, 1.0, 3.0, 10.5, 0.0])
    assert [e.per_mold for e in found.elements][:4] == pytest.approx([0.5, 0.125, 0.5, 3.0])


@pytest.mark.parametrize("seconds", [0.5, 2.0])
def test_an_occasional_element_that_is_set_aside_or_missed(seconds):
    """Set aside it leaves time and count out; missed it counts as come, with the mean of the others."""
    rows = [(c, "a", 5.0) for c in range(1, 5)] + [(2, "b", seconds), (3, "b", 9.0)]
    elements = ["a", Element(name="b", occasional=True)]
    aside = study(rows, elements, corrections=(Correction(seq=6, action="exclude", **WHO),))
    assert row(standards(case([aside]), resamples=50)[0], "b").observed_s == pytest.approx(seconds / 4)
    missed = study([*rows[:-1], (3, "b", NAN, NAN, "missed")], elements)
    assert row(standards(case([missed]), resamples=50)[0], "b").observed_s == pytest.approx(seconds * 2 / 4)


def test_an_occasional_element_twice_in_a_cycle_is_two_readings():
    """0.4 and 0.8 s in one of four cycles: 0.6 s each, half of one a mold; neither they nor 0 s ask for more."""
    rows = [(c, "a", 0.0) for c in range(1, 5)] + [(2, "b", 0.4), (2, "b", 0.8)]
    found = standards(case([study(rows, ["a", Element(name="b", occasional=True)])]), resamples=50)[0]
    a, b = row(found, "a"), row(found, "b")
    assert (b.readings, b.mean_s, b.per_mold, b.readings_needed) == (2, pytest.approx(0.6), pytest.approx(0.5), 0)
    assert b.sd_s == pytest.approx(0.2 * math.sqrt(2))
    assert (a.readings, a.mean_s, a.readings_needed) == (4, 0.0, 0) and math.isnan(a.per_mold)


def test_a_cycle_without_an_element_is_none_of_its_cycles():
    """b is not read in the second cycle: it was known in two, whole cycles are two, the mean is over two."""
    s = study([(1, "a", 5.0), (1, "b", 3.0), (2, "a", 5.0), (3, "a", 5.0), (3, "b", 6.0)], "ab")
    found = sums(s, element_times(s))
    assert found.bottom.tolist() == [[1, 1], [1, 0], [1, 1]] and found.whole.tolist() == [True, False, True]
    assert row(standards(case([s]), resamples=50)[0], "b").observed_s == 4.5


def test_no_draw_of_a_time_lies_below_zero():
    """10, 10, 40 s: few and scattered, yet every draw is a time; a single cycle has a finite interval too."""
    found = standards(case([study([(c, "a", x) for c, x in enumerate((10.0, 10.0, 40.0))], "a")]), resamples=4000)[0]
    assert found.draws_s.min() > 0 and found.standard_high_s > 30
    assert np.median(found.draws_s) == pytest.approx(20, rel=0.03)
    alone = standards(case([study([(1, "a", 10.0)], "a")]), resamples=4000)[0]
    assert 3 < alone.standard_low_s < 9 and 11 < alone.standard_high_s < 30


def test_an_allowance_scales_interval_and_draws_of_manual_work_alone():
    """The same draws times 1.1 where all is manual; the machine's part stays as it was."""
    rows = [(c, e, x) for c, x in enumerate((10.0, 12.0, 9.0, 13.0)) for e in "am"]
    plain = study(rows, ["a", "m"], allowances="flat", rater_sd_pct=3.0)
    bare, ten = (standards(case([plain], percent=p), resamples=50)[0] for p in (0, 10))
    assert ten.draws_s == pytest.approx(1.1 * bare.draws_s)
    mixed = replace(plain, elements=(Element(name="a"), Element(name="m", kind="machine")))
    bare, ten = (standards(case([mixed], percent=p), resamples=50)[0] for p in (0, 10))
    for name, share in (("a", 1.1), ("m", 1.0)):
        mine, theirs = row(ten, name), row(bare, name)
        assert (mine.standard_low_s, mine.standard_s, mine.standard_high_s) == pytest.approx(
            (share * theirs.standard_low_s, share * theirs.standard_s, share * theirs.standard_high_s), rel=0.02
        )


def test_the_raters_error_is_a_share_of_manual_time():
    """Even cycles, 10 % error: a tenth of the manual time, nothing of the machine's."""
    rows = [(c, "a", 10.0, 100.0 + c % 2) for c in range(9000)] + [(c, "m", 10.0) for c in range(9000)]
    s = study(rows, [Element(name="a"), Element(name="m", kind="machine")], rater_sd_pct=10.0)
    found = standards(case([s]), resamples=20_000)[0]
    assert np.std(np.log(found.draws_s - 10)) == pytest.approx(0.1, rel=0.03)
    assert row(found, "m").standard_high_s - row(found, "m").standard_low_s < 0.02
