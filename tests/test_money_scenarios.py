"""The same purchase under other volumes equals the case entered with those volumes, and ramp-up at its limits."""

from dataclasses import replace

import numpy as np
import pytest
from money_year import extra_molds
from plant import SECONDS, parts, plant
from test_money_ways import FULL, exactly, timed

from coreset.case import Line, Range
from coreset.money.chances import loss_if_bought, loss_if_not, spread
from coreset.money.cumulative_cash import payback_curve
from coreset.money.evaluate import weigh


def weighed(case):
    """The decision on known figures with every pattern masked."""
    case = replace(case, money=replace(case.money, li_limit=1.0))
    return weigh(case, *parts(case)[1:3], timed(SECONDS), parts(case)[4], draws=50)


def scaled(case, volume, runs=1.0, **line):
    """The case with other volumes, runs and shifts."""
    patterns = tuple(
        replace(p, molds_per_year=Range.exactly(p.molds_per_year.likely * volume), runs_per_year=p.runs_per_year * runs)
        for p in case.patterns
    )
    return replace(case, patterns=patterns, line=replace(case.line, **line))


ONE_SHIFT = Line(shifts_per_day=1, days_per_year=230, hours_per_shift=8, saved_hours_used=True)


@pytest.mark.parametrize(
    ("line", "shift_volume", "other"),
    [(FULL, 0.0, 0.0), (FULL, 1.2, 0.0), (ONE_SHIFT, 0.0, 0.0), (ONE_SHIFT, 0.0, 300.0), (ONE_SHIFT, 1.0, 2_500.0)],
)
def test_scenarios_are_the_case_with_other_volumes(line, shift_volume, other):
    """A recession: 0.7 of the molds in as many runs. A shift more: molds and runs by the shifts, or as entered.

    Patterns outside the case keep their hours, even where they take more than one shift has.
    """
    case = exactly(plant(line=line))
    case = replace(case, money=replace(case.money, shift_premium=0.1, more_shift_volume=shift_volume,
                                       other_line_hours_per_year=other))  # fmt: skip
    today, recession, more = weighed(case).scenarios
    times = shift_volume or (line.shifts_per_day + 1) / line.shifts_per_day
    assert (recession.volume, more.volume) == (0.7, pytest.approx(times))
    assert today.npv.mean == pytest.approx(weighed(case).npv)
    assert recession.npv.mean == pytest.approx(weighed(scaled(case, 0.7)).npv)
    longer = weighed(scaled(case, times, times, shifts_per_day=line.shifts_per_day + 1))
    assert more.npv.mean == pytest.approx(longer.npv)
    assert more.payback_years == pytest.approx(longer.payback_years)
    assert more.chance_npv_positive == float(longer.npv > 0)


def test_no_ramp_up_costs_nothing():
    """A first mold as fast as, or faster than, standard, or a standard reached at once: no time is lost or won."""
    made = [0.0, 1.0, 50.0, 400.0]
    for start, molds in ((1.0, 50), (0.5, 50), (2.0, 1), (2.0, 0)):
        assert np.array_equal(extra_molds(made, start=start, molds=molds), np.zeros(4))
    slow = extra_molds(made, start=2.0, molds=50)
    assert slow[0] == 0.0 and slow[1] == pytest.approx(1.0) and slow[1] < slow[2] == slow[3]


def test_what_a_wrong_decision_costs():
    """Worth of -5, 3 and 1: bought, 5 is lost in one draw of three; not bought, 3 and 1 are missed."""
    worth = [-5.0, 3.0, 1.0]
    assert loss_if_bought(worth) == pytest.approx(5 / 3) and loss_if_not(worth) == pytest.approx(4 / 3)
    assert loss_if_bought([0.5, 2.0]) == loss_if_not([-0.5, -2.0]) == 0.0


def test_a_payback_that_never_comes_is_beyond_every_limit():
    """Nine draws of ten pay back in 1 to 9 years, one never: the upper edge falls among them, or beyond."""
    years = [*range(1, 10), np.inf]
    found = spread(years)
    assert (found.low, found.middle, found.high, found.mean) == (2.0, 6.0, np.inf, np.inf)
    assert spread([*range(1, 101)]).high == 91.0


def test_the_curve_and_the_fan_end_where_the_draws_do():
    """Paybacks of half a year, a year and never, by quarters; the fan's last year holds the quantiles of the worth."""
    curve = payback_curve(np.array([0.5, 1.0, np.inf]), 1)
    assert curve == ((0.0, 0.0), (0.25, 0.0), (0.5, 1 / 3), (0.75, 1 / 3), (1.0, 2 / 3))
    found = weigh(*parts(), draws=400)
    last, first = found.fan[-1], found.fan[0]
    assert (last.low, last.middle, last.high) == pytest.approx(tuple(np.quantile(found.npv_draws, [0.1, 0.5, 0.9])))
    assert (last.year, first.year) == (10, 0) and first.low < -found.first_cost < first.middle
    assert found.payback_curve[-1] == (10.0, np.mean(found.payback_draws <= 10.0))
