"""Molds an hour: the lowest part of the line, named; uptime; per shift."""

from dataclasses import replace

import chart_cases
import numpy as np
import plant
import pytest
from scipy import stats

from coreset.case import Line, ScrapCount, Stop
from coreset.line.cooling import beyond_known, cooling_min
from coreset.line.job_mix import job_mix
from coreset.line.mold_cycle import mold_cycles
from coreset.line.rates import rates
from coreset.line.scrap_share import scrap_share


def one(line, *, seconds=40.0, **changes):
    """The rate of one pattern on a line, with its mold cycle given."""
    case = plant.plant(line=line)
    case = replace(case, patterns=tuple(replace(p, **changes) for p in case.patterns))
    cycles = [row for row in plant.mold_cycles(error=0.001) if (row.pattern, row.method) == ("HUB", "manual")]
    cycles[0].mean_s, cycles[0].draws_s = float(np.mean(seconds)), np.broadcast_to(seconds, 50)
    cycles[0].sample_s = np.array([cycles[0].mean_s])
    return rates(case, cycles, replications=2)[0]


def test_the_lowest_part_limits_and_is_named():
    """Molding, pouring, cooling and shake-out in turn are the slowest: the rate is 3600 over its seconds, by hand."""
    line = Line(uptime=1.0, pouring_s=20.0, cooling_places=100, shakeout_s=5.0)
    assert (one(line).limited_by, one(line).molds_per_h) == ("molding", pytest.approx(90.0))
    slow = one(replace(line, pouring_s=60.0))
    assert (slow.limited_by, slow.molds_per_h) == ("pouring", pytest.approx(60.0))
    cold = one(line, cooling_min=120.0)
    assert (cold.limited_by, cold.molds_per_h) == ("cooling", pytest.approx(50.0))
    shake = one(replace(line, shakeout_s=72.0))
    assert (shake.limited_by, shake.molds_per_h) == ("shake-out", pytest.approx(50.0))


def test_uptime_outer_row_and_shift():
    """Uptime scales the rate, an outer row adds cooling places, a shift has its hours."""
    line = Line(uptime=0.8, hours_per_shift=7.5, cooling_places=50, outer_row_places=25)
    found = one(line, cooling_min=60.0)
    assert found.limited_by == "cooling"
    assert found.molds_per_h == pytest.approx(0.8 * 75.0)
    assert found.good_per_shift == pytest.approx(7.5 * 60.0)


def test_outer_row_and_upper_level_have_stations_and_an_index_of_their_own():
    """A slow outer row limits and is named; its stations cool too; a pattern that passes it by is not held by it."""
    line = Line(uptime=1.0, cooling_places=50, outer_row_stations=20, outer_row_index_s=60.0,
                upper_level_stations=10, upper_level_index_s=8.0, pouring_s=10.0)  # fmt: skip
    slow = one(line, cooling_min=30.0)
    assert (slow.limited_by, slow.molds_per_h) == ("outer row", pytest.approx(60.0))
    assert slow.limits["cooling"] == pytest.approx(60 * (50 + 20 + 10) / 30)
    assert slow.limits["upper level"] == pytest.approx(450.0)
    past = one(line, cooling_min=30.0, inner_row_only=True)
    assert (past.limited_by, past.limits["cooling"]) == ("molding", pytest.approx(100.0))
    assert "outer row" not in past.limits


def test_scatter_of_pouring_counts_above_the_index_only():
    """Batches: the mean stays. At the index no mold is poured faster than it, so scatter lengthens the mean time.

    E[max(X, i)] of a lognormal X by its closed form.
    """
    line = Line(uptime=1.0, pouring_s=20.0, pouring_cv=0.4, index_s=18.0)
    s = np.sqrt(np.log(1 + 0.4**2))
    mu = np.log(20.0) - s**2 / 2
    d = (np.log(18.0) - mu) / s
    longer = 18.0 * stats.norm.cdf(d) + 20.0 * stats.norm.sf(d - s)
    assert 3600 / one(line, seconds=5.0).limits["pouring"] == pytest.approx(longer, rel=2e-3)
    batch = replace(line, pouring_mode="batch", pouring_batch=4)
    assert 3600 / one(batch, seconds=5.0).limits["pouring"] == pytest.approx(20.0)
    assert one(replace(line, pouring_cv=0.0)).limits["pouring"] == pytest.approx(180.0)


def test_cooling_time_by_section_between_two_that_the_plant_knows():
    """20 mm takes 30 min, 40 mm 90 min, so 28.28 mm takes their geometric mean, 51.96 min; an entered time stands."""
    line = Line(uptime=1.0, cooling_places=52, thin_section=20.0, thin_cooling_min=30.0, thick_section=40.0,
                thick_cooling_min=90.0, pouring_s=5.0)  # fmt: skip
    case = plant.plant(line=line)
    p = replace(case.patterns[0], section=20.0 * 2**0.5)
    assert cooling_min(case, p) == pytest.approx(2700**0.5)
    assert cooling_min(case, replace(p, cooling_min=45.0)) == 45.0
    assert cooling_min(case, replace(p, section=0.0)) == 0.0
    assert cooling_min(plant.plant(line=replace(line, thick_cooling_min=0.0)), p) == 0.0
    assert [cooling_min(case, replace(p, section=s)) for s in (20.0, 40.0)] == pytest.approx([30.0, 90.0])
    assert not beyond_known(case, p) and beyond_known(case, replace(p, section=60.0))
    assert one(line, section=40.0).limits["cooling"] == pytest.approx(60 * 52 / 90)


def test_changes_are_in_the_good_molds_of_a_shift_and_nowhere_else():
    """1,000 molds of 36 s a run and 20 min of change: 8 h make 768 of 800 molds; the rate that money takes stays."""
    line = Line(uptime=1.0, pouring_s=5.0, cooling_places=100)
    still, changing = one(line, seconds=36.0), one(replace(line, changeover_min=25.0), seconds=36.0)
    assert still.good_per_shift == pytest.approx(800.0)
    assert changing.good_per_shift == pytest.approx(8 * 1_000 / (10.0 + 25 / 60))
    assert changing.good_per_shift_aside == pytest.approx(8 * 1_000 / (10.0 + 37 / 60))
    assert changing.molds_per_h == still.molds_per_h and np.array_equal(changing.draws, still.draws)
    slow, fast = (3600 / (36.0 * f) for f in (1.1, 0.9))
    spread = one(replace(line, changeover_min=25.0), seconds=np.linspace(0.9, 1.1, 50) * 36.0)
    assert spread.good_low == pytest.approx(8 * 1_000 / (1_000 / spread.low + 25 / 60))
    assert slow < spread.low and spread.high < fast and spread.good_low < changing.good_per_shift < spread.good_high
    half = one(replace(line, changeover_min=25.0, uptime=0.5), seconds=36.0)
    assert half.good_per_shift == pytest.approx(8 * 1_000 / (20.0 + 25 / 60))


def test_changes_in_the_run_line_as_in_the_job_mix_where_molding_limits():
    """With molding the slowest nothing is caught up: hours by the run line are those of the job mix, within 0.2 %."""
    line = Line(uptime=0.8, pouring_s=5.0, cooling_places=100, changeover_min=25.0,
                stops=(Stop(cause="plate", station="pouring", every_min=30.0, lasts_min=1.0),))  # fmt: skip
    case = chart_cases.case(line=line)
    cycles = mold_cycles(case, chart_cases.standards(("HUB",)), replications=300)
    for row in rates(case, cycles, replications=50):
        mix = job_mix(case, [row], {"HUB": row.method})
        molds = sum(run.molds for run in mix.runs)
        assert row.good_per_shift == pytest.approx(8 * molds / mix.needed_h, rel=2e-3)
        assert row.good_per_shift_aside <= row.good_per_shift


def test_a_line_that_waits_for_pouring_catches_up_part_of_a_change():
    """Where pouring limits and molds wait before it, a change of molding is not felt in full."""
    line = Line(uptime=1.0, mold_positions=8, pouring_s=60.0, cooling_places=100, changeover_min=10.0)
    case = chart_cases.case(line=line)
    cycles = mold_cycles(case, chart_cases.standards(("HUB",)), replications=300)[:1]
    felt = rates(case, cycles, replications=50)[0]
    minutes = 10.0 * felt.molds_per_h / 60.0 / 1_000.0
    assert 0.0 < felt.change_share < 0.4 * minutes / (1.0 + minutes)


def test_scrap_is_taken_off_where_it_was_counted():
    """Two causes of 1 % and 3 %: 96 % of the molds are good; a method not counted scraps as today; none: said so."""
    counts = (
        ScrapCount(pattern="HUB", method="manual", cause="shift", castings_poured=1_000, castings_scrapped=10,
                   source="invented"),
        ScrapCount(pattern="HUB", method="manual", cause="sand", castings_poured=500, castings_scrapped=15,
                   source="invented"),
    )  # fmt: skip
    case = plant.plant(scrap=counts)
    assert scrap_share(case, "HUB", "manual") == scrap_share(case, "HUB", "core setter") == pytest.approx(0.04)
    assert scrap_share(case, "BOX", "manual") is None
    found = {(r.pattern, r.method): r for r in rates(case, plant.mold_cycles(error=0.001), replications=2)}
    hub, box = found["HUB", "manual"], found["BOX", "manual"]
    assert (hub.scrap, box.scrap) == (pytest.approx(0.04), None)
    assert hub.good_per_shift == pytest.approx(0.96 * 8 * hub.molds_per_h)
    assert box.good_per_shift == pytest.approx(8 * box.molds_per_h)


def test_pouring_at_the_index_cannot_exceed_it():
    """Common practice, no source: at the table's index rate no more is poured than it indexes, whoever pours."""
    assert one(Line(uptime=1.0, pouring_s=5.0, index_s=45.0)).molds_per_h == pytest.approx(80.0)
    batch = Line(uptime=1.0, pouring_s=5.0, index_s=45.0, pouring_mode="batch", pouring_batch=6)
    assert one(batch).molds_per_h == pytest.approx(80.0)


def test_rates_follow_the_draws_of_the_mold_cycle():
    """The interval of the rate is that of the mold cycle turned over."""
    found = rates(chart_cases.case(), plant.mold_cycles(error=0.03), replications=2)[0]
    assert found.low < found.molds_per_h < found.high
    assert found.draws.shape == (1_000,)


def test_finite_places_and_stops_cost_something():
    """The run line is below the ideal one, above the line without places, and the draws carry the same share."""
    cycles = mold_cycles(chart_cases.case(), chart_cases.standards(("HUB",)), replications=300)
    tight = chart_cases.case(line=Line(uptime=1.0, pouring_s=26.0, mold_positions=1))
    run = rates(tight, cycles, replications=100)[0]
    assert 0.8 < run.kept < 1.0
    assert run.molds_per_h == pytest.approx(min(run.limits.values()) * run.kept, rel=0.01)
    assert run.draws.mean() == pytest.approx(run.molds_per_h, rel=0.01)
