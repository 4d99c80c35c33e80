"""Costs of single years and working capital: entered in the case and counted in their year."""

from dataclasses import replace

import pytest
from plant import parts
from test_money_ways import exactly

from coreset.case import Range
from coreset.money.evaluate import weigh

PAY, CREW = 23 * 1.42, 2 + 1
RATE, PRICES = 0.10, 0.02


def decided(**money):
    """The invented plant with every input known, and other money."""
    case, *others = parts()
    case = exactly(case)
    return weigh(replace(case, money=replace(case.money, **money)), *others, draws=50)


def test_costs_of_single_years_stand_in_their_year():
    """Prices are of today and rise by 2 % a year; hours lost are paid once more and their margin is lost."""
    found = decided(
        installation_lost_hours=Range.exactly(16.0),
        lost_margin_per_h=Range.exactly(250.0),
        overhaul_cost=Range.exactly(18_000.0),
        overhaul_year=5,
        replacement_cost=Range.exactly(9_000.0),
        replacement_year=7,
        working_capital=Range.exactly(4_000.0),
    )
    flow = {row.year: row.parts for row in found.cash_flow}
    lost = 16 * (PAY * CREW + 250)
    assert flow[0]["production_lost"] == pytest.approx(-lost) and flow[0]["capital_tied_up"] == -4_000
    assert flow[5]["overhaul"] == pytest.approx(-18_000 * (1 + PRICES) ** 5)
    assert flow[7]["replacement"] == pytest.approx(-9_000 * (1 + PRICES) ** 7)
    assert flow[10]["capital_released"] == 4_000
    for row in found.cash_flow:
        assert row.total == pytest.approx(sum(row.parts.values())), "items add up to the flow"
    dearer = lost + 18_000 * (1.02 / 1.1) ** 5 + 9_000 * (1.02 / 1.1) ** 7 + 4_000 * (1 - 1.1**-10)
    plain = decided()
    assert found.npv == pytest.approx(plain.npv - dearer) and plain.chosen == found.chosen
    assert found.first_cost == pytest.approx(plain.first_cost + lost), "working capital comes back: it is no cost"
    assert sum(found.gap.values()) == pytest.approx(found.npv - found.npv_at_means, abs=1e-6)


@pytest.mark.parametrize("item", ["overhaul", "replacement"])
@pytest.mark.parametrize(("year", "asked"), [(0, True), (11, True), (10, False)])
def test_a_cost_without_its_year_is_asked_for(item, year, asked):
    """A cost whose year is missing or beyond the evaluation is in no year: it is not counted in silence."""
    found = decided(**{f"{item}_cost": Range.exactly(5_000.0), f"{item}_year": year})
    assert (f"{item}_year_missing" in {note.code for note in found.notes}) is asked
    assert any(item in row.parts for row in found.cash_flow) is not asked


def test_costs_of_the_setter_fall_away_without_it():
    """Another method of setting cores by hand has no overhaul, no lost hours of installation and no spare parts."""
    names = ("installation_lost_hours", "overhaul_cost", "replacement_cost", "working_capital")
    dear = decided(**dict.fromkeys(names, Range.exactly(1e6)), overhaul_year=3, replacement_year=4)
    plain = {row.name: row.npv.mean for row in decided().alternatives}
    rack = next(row for row in dear.alternatives if row.name == "hand and rack")
    assert rack.npv.mean == pytest.approx(plain["hand and rack"])
