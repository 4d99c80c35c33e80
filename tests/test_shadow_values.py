"""What a limit of the plant costs: given as much of it, the set that was named is taken, and is worth what was said."""

from dataclasses import replace

import pytest
from plant import SECONDS, parts, plant
from test_money_ways import exactly, timed

from coreset.case import Line, Range
from coreset.decision.headline import lines
from coreset.money.evaluate import weigh
from tests.test_decision import changed


@pytest.mark.parametrize(("limit", "value"), [("budget", 245_000.0), ("mask_places", 2)])
def test_a_limit_that_binds_says_what_more_of_it_would_bring(limit, value):
    """With as much as it names, that set is taken, and the worth rises by the gain."""
    a = changed(money={limit: value})
    (row,) = [each for each in a.money.shadow_values if each.limit == limit]
    assert row.has == value < row.needed and row.gain > 0 and row.patterns
    freed = changed(money={limit: type(value)(-(-row.needed // 1))})
    assert set(freed.money.chosen) == set(a.money.chosen) | set(row.patterns)
    assert freed.money.npv - a.money.npv == pytest.approx(row.gain, rel=0.05)
    assert not [each for each in freed.money.shadow_values if each.limit == limit]
    assert any("Limiting factor" in line and row.patterns[0] in line for line in lines(a))


def test_a_limit_that_does_not_bind_costs_nothing():
    """Far above what the best set takes: no value, and no such line."""
    a = changed(money={"budget": 900_000.0, "mask_places": 40})
    assert a.money.shadow_values == () and not any("Limiting factor" in line for line in lines(a))


def test_where_no_set_keeps_the_limits_the_needs_say_it():
    """A budget below the first price."""
    a = changed(money={"budget": 100_000.0})
    assert a.money.shadow_values == () and a.money.needs


def slower(**money):
    """The invented plant; CAP is slower with the setter, and worth it for the injuries that it would avoid."""
    seconds = {**SECONDS, ("CAP", "core setter"): 30.0}
    line = Line(shifts_per_day=3, days_per_year=300, saved_hours_used=False)
    case, standards, cycles, _, tasks = parts(plant(line=line))
    facts = {"injury_cost_per_year": Range.exactly(90_000.0), **money}
    case = exactly(replace(case, money=replace(case.money, **facts)))
    return weigh(case, standards, cycles, timed(seconds), tasks, draws=50)


def test_line_hours_that_bind_say_what_more_overtime_would_bring():
    """With as much overtime as it names, the set is taken, and the worth rises by the gain; without need, no value."""
    assert slower().shadow_values == ()
    most = max(row.line_hours for row in slower().sets)
    taken = 7_200.0 - slower().line_hours
    short = slower(other_line_hours_per_year=taken + 20.0)
    (row,) = short.shadow_values
    assert row.limit == "overtime" and row.has == 0.0 < row.needed and row.gain > 0 and row.patterns == ("CAP",)
    freed = slower(other_line_hours_per_year=taken + 20.0, overtime_limit_h_per_year=row.needed)
    assert set(freed.chosen) == {*short.chosen, "CAP"} and most >= freed.line_hours
    assert freed.npv - short.npv == pytest.approx(row.gain, rel=0.01)
    assert freed.shadow_values == ()
