"""A year's items by pocket calculator: pay by shift and share, a second operator, overtime, masks that wear."""

from dataclasses import replace

import pytest
from plant import RUNS, SECONDS, VOLUME, parts, plant
from test_money_ways import FULL, exactly, timed
from test_money_weigh import by_hand_after_masked

from coreset.case import Method, Range
from coreset.money.evaluate import weigh

HOURS = {
    method: sum(VOLUME[code] * SECONDS[code, method] for code in VOLUME) / 3600 for method in ("manual", "core setter")
}
CHANGE_H = sum(RUNS.values()) * 12 / 60
PAY = 23 * 1.42


def first_year(line=FULL, operators=1, hub=1.0, patterns=None, **money):
    """The decision where every pattern is masked, figures are known and nothing grows or is learnt."""
    case = exactly(plant(line=line, **({"patterns": patterns} if patterns else {})))
    still = {"wage_inflation": 0.0, "ramp_up_molds": 0.0, "li_limit": 1.0, "overtime_limit_h_per_year": 1e6}
    methods = tuple(replace(m, operators=operators) if m.method == "core setter" else m for m in case.methods)
    first, *others = case.patterns
    scaled = Range.exactly(hub * first.molds_per_year.likely)
    first = replace(first, molds_per_year=scaled, runs_per_year=hub * first.runs_per_year)
    case = replace(
        case,
        patterns=(first, *others),
        setter=replace(case.setter, downtime_share=0.0),
        methods=methods,
        money=replace(case.money, **{**still, **money}),
    )
    return weigh(case, *parts(case)[1:3], timed(SECONDS), parts(case)[4], draws=50)


def test_hours_are_paid_by_shift_and_only_in_part_saved():
    """Two of three shifts at 10 % more: 1 + 0.1 x 2/3; of the hours saved half is really not paid for, changes all."""
    found = first_year(shift_premium=0.1, hours_saved_paid=Range.exactly(0.5)).cash_flow[1].parts
    pay = PAY * (1 + 0.1 * 2 / 3)
    assert found["labour"] == pytest.approx(0.5 * (HOURS["manual"] - HOURS["core setter"]) * 3 * pay)
    assert found["mask_changes"] == pytest.approx(-CHANGE_H * 3 * pay)
    assert "overtime" not in found


@pytest.mark.parametrize(
    "margin, paid, sold", [(4.0, 1.0, 2_000), (0.6, 1.0, 2_000), (0.45, 1.0, 0), (0.3, 0.5, 2_000)]
)
def test_freed_hours_are_sold_where_a_mold_brings_more_than_its_hours_cost(margin, paid, sold):
    """1,720 hours are too few by hand; by the setter 2,000 more molds of BOX fit, two castings each.

    A mold takes 36 s of three people, 0.98 at 32.66 an hour: sold at 1.20, not at 0.90; at 0.60 where half of
    the hours would not have been paid for. Prices rise by 2 % a year.
    """
    case = plant(line=replace(FULL, shifts_per_day=1, days_per_year=215, hours_per_shift=8, saved_hours_used=True))
    box = replace(case.patterns[1], margin_per_casting=Range.exactly(margin))
    found = first_year(
        patterns=(case.patterns[0], box, *case.patterns[2:]), line=case.line, hours_saved_paid=Range.exactly(paid)
    )
    assert HOURS["manual"] > 1_720 > HOURS["core setter"] + CHANGE_H + 20
    assert found.molds_sold == pytest.approx(sold)
    assert found.cash_flow[1].parts.get("throughput", 0.0) == pytest.approx(sold * 2 * margin * 1.02)


@pytest.mark.parametrize(("operators", "share"), [(2, 0.5), (3, 1.0)])
def test_more_operators_of_the_setter_are_paid_all_their_hours(operators, share):
    """Four people where three stood still save, of which half counts; five cost more than they save, in full."""
    found = first_year(operators=operators, hours_saved_paid=Range.exactly(0.5)).cash_flow[1].parts
    saved = 3 * HOURS["manual"] - (2 + operators) * HOURS["core setter"]
    assert (saved < 0) is (share == 1.0)
    assert found["labour"] == pytest.approx(share * saved * PAY)
    assert found["mask_changes"] == pytest.approx(-CHANGE_H * (2 + operators) * PAY)


@pytest.mark.parametrize("operators", [1, 2])
def test_overtime_costs_its_premium_on_the_wage(operators):
    """1,200 h a year are too few: the hours beyond cost 40 % of the wage more for each person, changes among them."""
    short = replace(FULL, shifts_per_day=1, days_per_year=150, hours_per_shift=8)
    found = first_year(short, operators, overtime_premium=0.4).cash_flow[1].parts
    today, then = HOURS["manual"] - 1_200, HOURS["core setter"] + CHANGE_H - 1_200
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


def test_hours_saved_are_less_by_every_change():
    """HUB and BOX masked: 11 and 26 s a mold, less 12 min for each of their runs and for each run by hand after one."""
    found = first_year(li_limit=0.0)
    assert found.chosen == ("HUB", "BOX")
    changes = RUNS["HUB"] + RUNS["BOX"] + by_hand_after_masked(found.chosen)
    saved = (VOLUME["HUB"] * 11 + VOLUME["BOX"] * 26) / 3600
    assert found.hours_saved == pytest.approx(saved - changes * 12 / 60)
    by_way = (VOLUME["HUB"] * 30 + VOLUME["BOX"] * 36) / 3600
    assert found.setter_hours == pytest.approx(by_way + (RUNS["HUB"] + RUNS["BOX"]) * 12 / 60)


def test_what_a_mold_costs_with_the_setter():
    """HUB: labour of 30 s, air and power, changes over 60,000 molds, its mask, and the setter by its hours of use."""
    row = first_year(discount_rate=0.0, mask_life_molds=0.0).patterns[0]
    setter_h = ((170_000 + 25_000 + 6_000) / 10 + 7_000 + 800) / (HOURS["core setter"] + CHANGE_H)
    by_hand = {
        "labour": 30 / 3600 * PAY * 3,
        "air": 0.09 * 0.02,
        "setter and power": 30 / 3600 * (setter_h + 4 * 0.08),
        "changes": 60 * 12 / 60 * PAY * 3 / 60_000,
        "mask": (9_000 / 10 + 600) / 60_000,
    }
    assert row.cost_per_mold_candidate == pytest.approx(sum(by_hand.values()))
    assert row.cost_per_core_candidate == pytest.approx(sum(by_hand.values()) / 2)
    assert row.cost_per_mold_baseline == pytest.approx(41 / 3600 * PAY * 3)
    assert (row.run_molds, row.seconds_saved) == (1_000.0, pytest.approx(11.0))


def test_the_volume_from_which_a_mask_is_earned():
    """HUB entered a little below or above its break-even volume, in runs as long, does not earn its mask or does."""
    money = {"discount_rate": 0.0, "mask_life_molds": 0.0}
    at = first_year(**money).patterns[0].break_even_molds_per_year
    by_hand = (9_000 / 10 + 600) / (11 / 3600 * 3 * PAY - 12 / 60 / 1_000 * 3 * PAY)
    assert at == pytest.approx(by_hand, rel=0.25)  # runs by hand after masked ones are not in it
    less, more = (first_year(hub=share * at / VOLUME["HUB"], **money).patterns[0] for share in (0.998, 1.002))
    assert less.saving_per_year < 0 < more.saving_per_year
    assert (less.run_molds, more.run_molds) == pytest.approx((1_000.0, 1_000.0))
