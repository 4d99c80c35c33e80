"""What a limit of the plant costs: given as much of it, the set that was named is taken, and is worth what was said."""

import pytest

from coreset.decision.headline import lines
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
    assert any("Limit that binds" in line and row.patterns[0] in line for line in lines(a))


def test_a_limit_that_does_not_bind_costs_nothing():
    """Far above what the best set takes: no value, and no such line."""
    a = changed(money={"budget": 900_000.0, "mask_places": 40})
    assert a.money.shadow_values == () and not any("Limit that binds" in line for line in lines(a))


def test_where_no_set_keeps_the_limits_the_needs_say_it():
    """A budget below the first price."""
    a = changed(money={"budget": 100_000.0})
    assert a.money.shadow_values == () and a.money.needs
