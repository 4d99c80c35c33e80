"""One limit of overtime for every method: hours beyond it are not worked, so they are not saved."""

from dataclasses import replace

import pytest
from plant import SECONDS, VOLUME, parts, plant
from test_money_ways import exactly, timed

from coreset.money.evaluate import weigh

TODAY = sum(VOLUME[code] * SECONDS[code, "manual"] for code in VOLUME) / 3600
"""Line hours a year of all volumes by hand: 1,725."""


def year_one(short_by, **money):
    """The decision on known figures where the schedule is so many hours short of what hand setting needs."""
    line = replace(plant().line, shifts_per_day=1.0, days_per_year=1.0, hours_per_shift=TODAY - short_by)
    case = exactly(plant(line=replace(line, saved_hours_used=False)))
    facts = {"ramp_up_molds": 0.0, "overtime_premium": 0.5, "wage_inflation": 0.0, **money}
    case = replace(case, money=replace(case.money, **facts))
    return weigh(case, *parts(case)[1:3], timed(SECONDS), parts(case)[4], draws=20)


def test_overtime_by_hand_is_saved_up_to_the_limit_only():
    """100 h beyond the schedule by hand; the setter needs none. Saved by hand, on paper: crew of 3 at 23 an hour, half.

    All 100 h where they may be worked, none where no overtime is allowed: the volumes that fit are then compared.
    """
    free, none = (year_one(100.0, overtime_limit_h_per_year=limit) for limit in (100.0, 0.0))
    saved = free.cash_flow[1].parts
    assert saved["overtime"] == pytest.approx(100.0 * 3 * 23.0 * 0.5)
    assert "overtime" not in none.cash_flow[1].parts
    share = (TODAY - 100.0) / TODAY
    assert none.cash_flow[1].parts["labour"] == pytest.approx(share * saved["labour"])
    assert none.hours_saved == pytest.approx(share * free.hours_saved) and none.npv < free.npv
    assert "overtime_beyond_limit" in {note.code for note in none.notes}


def test_more_overtime_allowed_than_needed_changes_nothing():
    """At the hours needed, above them, and without any need: the same worth."""
    at, above = (year_one(100.0, overtime_limit_h_per_year=limit) for limit in (100.0, 5_000.0))
    assert at.npv == pytest.approx(above.npv)
    idle = [year_one(-50.0, overtime_limit_h_per_year=limit).npv for limit in (0.0, 5_000.0)]
    assert idle[0] == pytest.approx(idle[1])
