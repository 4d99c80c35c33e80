"""A year's items by pocket calculator: pay by shift and share, a second operator, overtime, masks that wear."""

from dataclasses import replace

import pytest
from plant import RUNS, SECONDS, VOLUME, parts, plant
from test_money_ways import FULL, exactly, timed

from coreset.case import Method
from coreset.money import weigh

HOURS = {
    method: sum(VOLUME[code] * SECONDS[code, method] for code in VOLUME) / 3600 for method in ("manual", "assisted")
}
CHANGE_H = sum(RUNS.values()) * 12 / 60
PAY = 23 * 1.42


def first_year(line=FULL, operators=1, **money):
    """Items of the first year where every pattern is masked, figures are known and nothing grows or is learnt."""
    case = exactly(plant(line=line))
    still = {"wage_inflation": 0.0, "ramp_up_molds": 0.0, "li_limit": 1.0}
    methods = tuple(replace(m, operators=operators) if m.method == "assisted" else m for m in case.methods)
    case = replace(
        case,
        setter=replace(case.setter, downtime_share=0.0),
        methods=methods,
        money=replace(case.money, **{**still, **money}),
    )
    return weigh(case, *parts(case)[1:3], timed(SECONDS), parts(case)[4], draws=50)


def test_hours_are_paid_by_shift_and_only_in_part_saved():
    """Two of three shifts at 10 % more: 1 + 0.1 x 2/3; of the hours saved half is really not paid for, changes all."""
    found = first_year(shift_premium=0.1, hours_saved_paid=0.5).cash_flow[1].parts
    pay = PAY * (1 + 0.1 * 2 / 3)
    assert found["labour"] == pytest.approx(0.5 * (HOURS["manual"] - HOURS["assisted"]) * 3 * pay)
    assert found["mask_changes"] == pytest.approx(-CHANGE_H * 3 * pay)
    assert "overtime" not in found


@pytest.mark.parametrize(("operators", "share"), [(2, 0.5), (3, 1.0)])
def test_more_operators_of_the_setter_are_paid_all_their_hours(operators, share):
    """Four people where three stood still save, of which half counts; five cost more than they save, in full."""
    found = first_year(operators=operators, hours_saved_paid=0.5).cash_flow[1].parts
    saved = 3 * HOURS["manual"] - (2 + operators) * HOURS["assisted"]
    assert (saved < 0) is (share == 1.0)
    assert found["labour"] == pytest.approx(share * saved * PAY)
    assert found["mask_changes"] == pytest.approx(-CHANGE_H * (2 + operators) * PAY)


@pytest.mark.parametrize("operators", [1, 2])
def test_overtime_costs_its_premium_on_the_wage(operators):
    """1,200 h a year are too few: the hours beyond cost 40 % of the wage more for each person, changes among them."""
    short = replace(FULL, shifts_per_day=1, days_per_year=150, hours_per_shift=8)
    found = first_year(short, operators, overtime_premium=0.4).cash_flow[1].parts
    today, then = HOURS["manual"] - 1_200, HOURS["assisted"] + CHANGE_H - 1_200
    assert then > 0
    assert found["overtime"] == pytest.approx(0.4 * 23 * (3 * today - (2 + operators) * then))


def test_masks_wear_by_their_molds():
    """HUB makes 600,000 molds in ten years: of masks that last 130,000 four are bought again; two are kept of each."""
    row = first_year(mask_life_molds=130_000, spare_masks=1, discount_rate=0.0).patterns[0]
    assert row.pattern == "HUB"
    assert row.mask_per_year == pytest.approx(2 * 9_000 / 10 + 4 * 9_000 / 10 + 2 * 600)
    lasting = first_year(mask_life_molds=0.0, discount_rate=0.1).patterns[0]
    annuity = sum(1.1**-year for year in range(1, 11))
    assert lasting.mask_per_year == pytest.approx(9_000 / annuity + 600)


def test_a_rack_needs_no_upkeep():
    """What only the setter has, a method without a machine has not; its second operator it has."""
    case = exactly(plant(line=FULL))
    two = Method(method="two by hand", operators=2, steps=(), step_cost=500.0)
    case = replace(case, methods=(*case.methods, two), candidate="two by hand")
    found = weigh(case, *parts(case)[1:3], timed({k: s for k, s in SECONDS.items() if k[1] == "manual"}),
                  parts(case)[4], draws=50)  # fmt: skip
    assert {name for year in found.cash_flow for name in year.parts} <= {"step", "labour", "ramp_up"}
    assert found.first_cost == 500.0 and found.cash_flow[1].parts["labour"] < 0
