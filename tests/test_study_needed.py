"""How many readings, how precise, and the standard in other units: by scipy, by trying every number, by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats
from study_cases import case, study

from coreset.case import Core, Pattern, Place, Range
from coreset.errors import OutOfRange
from coreset.study import sample_size
from coreset.study.bootstrap import effective_number
from coreset.study.element_times import element_times
from coreset.study.pooling import standards
from coreset.study.time_balance import balance
from coreset.study.unit_conversion import units, with_set_up


@pytest.mark.rules("TIME-needed-t")
@pytest.mark.parametrize("sd", [0.001, 0.02, 0.1, 0.4, 1.3])
@pytest.mark.parametrize("share", [0.05, 0.1])
def test_the_least_number_by_trying_every_one(sd, share):
    """From two readings on, the first whose t s/n^0.5 is within the share of the mean; at 90 % fewer."""
    for level in (0.95, 0.9):
        n = np.arange(2, 4000)
        half = stats.t.ppf(0.5 + level / 2, n - 1) * sd / np.sqrt(n)
        assert sample_size.by_t(1.0, sd, share=share, level=level) == n[half <= share][0]


def test_readings_all_alike_or_of_nothing_ask_for_two():
    """No scatter needs no more than shows that there is none; a share of a mean of 0 cannot be asked for."""
    assert sample_size.by_t(10.0, 0.0) == sample_size.by_t(0.0, 1.0) == sample_size.by_t(-3.0, 1.0) == 2
    assert sample_size.needed([10.0, 10.0]) == 2
    assert sample_size.needed([10.0]) == sample_size.needed([10.0, math.nan]) == sample_size.needed([]) == 0


@pytest.mark.rules("TIME-needed-range")
def test_the_range_of_readings_by_hand():
    """Five readings of 20 s in the mean, range 4 s: (2 x 4/(2.326 x 0.05 x 20))^2 = 11.83; ten: 3.078, 6.76."""
    assert sample_size.by_range([18.0, 22.0, 20.0, 19.0, 21.0]) == pytest.approx(11.83, abs=0.005)
    assert sample_size.by_range([18.0, 22.0, 20.0, 19.0, 21.0] * 2) == pytest.approx(6.755, abs=0.0005)
    assert sample_size.by_range([18.0, 22.0, 20.0, 19.0, 21.0], share=0.1) == pytest.approx(11.83 / 4, abs=0.002)


def test_two_readings_ask_and_dependent_ones_ask_for_more():
    """The t form of mean and sd; stretched by n over the number that counts, rounded up."""
    assert sample_size.needed([9.0, 11.0]) == sample_size.by_t(10.0, math.sqrt(2)) > 20
    zigzag = np.array([9.0, 11.0] * 8)
    assert sample_size.needed(zigzag) == sample_size.by_t(10.0, zigzag.std(ddof=1))
    alike = np.repeat([9.0, 11.0, 10.0, 9.5], 4)
    plain = sample_size.by_t(alike.mean(), alike.std(ddof=1))
    assert sample_size.needed(alike) == math.ceil(plain * 16 / effective_number(alike)) > plain


@pytest.mark.parametrize("level", [0.8, 0.95])
@pytest.mark.parametrize("x", [[9.0, 11.0], [9.0, 11.0, 10.0], [9.0, 11.5] * 6])
def test_the_precision_reached_by_scipy(x, level):
    """Half of Student's interval of the mean as a share of it, where every reading counts."""
    low, high = stats.t.interval(level, len(x) - 1, loc=np.mean(x), scale=stats.sem(x))
    assert sample_size.precision(x, level=level) == pytest.approx((high - low) / 2 / np.mean(x))


def test_the_precision_of_readings_that_depend_on_each_other():
    """1, 2, 3, 4 count for 4/7 of a reading: t at one degree of freedom, 12.7062; one reading has no precision."""
    expected = 12.7062 * math.sqrt(5 / 3) / math.sqrt(4 / 7) / 2.5
    assert sample_size.precision([1.0, 2.0, 3.0, 4.0]) == pytest.approx(expected, rel=1e-5)
    assert math.isnan(sample_size.precision([5.0])) and sample_size.precision([5.0, 5.0]) == 0.0


@pytest.mark.rules("TIME-cycles")
@pytest.mark.parametrize(("seconds", "cycles"), [(60.0, 30), (60.5, 20), (120.0, 20), (120.5, 15), (5000.0, 3)])
def test_rough_cycles_change_at_the_printed_lengths(seconds, cycles):
    """[freivalds] up to and with 1.00 min 30, up to 2.00 min 20, beyond 40 min 3."""
    assert sample_size.rough_cycles(seconds) == cycles


def stated(crew=2.0, castings=4):
    """A case with one standard of 72 s, 60 to 90, for a mold of 4 castings and 3 cores."""
    pattern = Pattern(pattern="P1", castings_per_mold=castings, molds_per_year=Range.exactly(1e3), runs_per_year=5)
    cores = (Core(pattern="P1", core="A", per_mold=2, mass=1.0), Core(pattern="P1", core="B", mass=1.0))
    found = case(
        [study([(1, "a", 72.0)], "a", crew=crew)], patterns=(pattern,), cores=cores, place=Place(hours_per_shift=7.5)
    )
    one = standards(found, resamples=20)[0]
    return found, replace(one, standard_low_s=60.0, standard_high_s=90.0)


def test_a_standard_in_other_units_by_hand():
    """72 s a mold: 24 s a core, 1,800 s for 100 castings, 1 h of two people; 27,000 s of a shift make 375 molds."""
    found = {one.unit: (one.value, one.low, one.high) for one in units(*stated())}
    assert found["mold"] == pytest.approx((72.0, 60.0, 90.0))
    assert found["core"] == pytest.approx((24.0, 20.0, 30.0))
    assert found["castings_100"] == pytest.approx((1800.0, 1500.0, 2250.0))
    assert found["work_100"] == pytest.approx((1.0, 1500 / 1800, 1.25))
    assert found["shift"] == pytest.approx((375.0, 300.0, 450.0))


def test_units_of_a_mold_without_cores_or_time():
    """No core, no time of a core; a time of 0 leaves the molds of a shift unknown, one of 1 s does not."""
    found, one = stated()
    assert "core" not in {row.unit for row in units(replace(found, cores=()), one)}
    shift = units(found, replace(one, standard_low_s=0.0, standard_high_s=1.0))[-1]
    assert math.isnan(shift.high) and shift.low == 27_000.0


def test_a_set_up_is_laid_on_the_molds_of_its_run():
    """7 min on one mold are 420 s; a run of nothing is refused."""
    assert with_set_up(50.0, set_up_min=7, run_molds=1) == 470.0
    assert with_set_up(50.0, set_up_min=7, run_molds=0.5) == 890.0
    with pytest.raises(OutOfRange, match="run_molds must be above 0"):
        with_set_up(50.0, set_up_min=7, run_molds=0)


@pytest.mark.rules("STUDY-check")
@pytest.mark.parametrize(("out", "percent", "closes"), [("9:01:40", 2.0, True), ("9:01:41", 100 * 3 / 101, False)])
def test_the_error_of_timing_is_accepted_up_to_two_percent(out, percent, closes):
    """[ilo1992] 98 s known of 100 s closes, of 101 s it does not; with no elapsed time there is no error."""
    s = study([(1, "a", 98.0)], "a", clock_in="9:00:00", clock_out=out)
    found = balance(s, element_times(s))
    assert (found.unaccounted_pct, found.closes) == (pytest.approx(percent), closes)
    none = balance(replace(s, clock_out="9:00:00"), element_times(s))
    assert none.elapsed_s == 0.0 and math.isnan(none.unaccounted_pct) and none.closes
    short = balance(replace(s, clock_out="9:00:01"), element_times(s))
    assert short.unaccounted_pct == pytest.approx(9700.0)
    night = balance(replace(s, clock_in="23:59:00", clock_out="0:00:40"), element_times(s))
    assert (night.elapsed_s, night.unaccounted_s) == (100.0, 2.0)
