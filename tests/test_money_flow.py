"""Cash flows of known figures by pocket calculator: what is paid at first, bought again, sold at the end, taxed."""

from dataclasses import replace

import numpy as np
import pytest
from money_year import extra_molds
from plant import SECONDS, VOLUME, plant
from test_money_ways import FULL, exactly, timed

from coreset.case import Range
from coreset.money.cash_flow import cash_flow
from coreset.money.discount import npv
from coreset.money.simulation_inputs import draw
from coreset.money.year_plan import plan, ways

PRICES = {"setter": 170_000, "installation": 25_000, "training": 6_000}


def flow(over=("HUB", "BOX"), *, step=None, draws=4, hub_mask=None, scrap=0.0, **money):
    """Cash flow where these patterns go over, every figure known and nothing growing, worn or learnt unless asked."""
    case = exactly(plant(line=FULL))
    still = dict.fromkeys(("wage_inflation", "energy_inflation", "price_inflation", "ramp_up_molds"), 0.0)
    case = replace(case, money=replace(case.money, **{**still, "mask_life_molds": 0.0, **money}))
    costs = dict(zip(VOLUME, (9.0, 15.0, 3.0, 1.0), strict=True))
    own = {"HUB": hub_mask and Range.exactly(hub_mask)}
    patterns = tuple(
        replace(p, cost_per_scrapped_casting=costs[p.pattern], mask_cost=own.get(p.pattern)) for p in case.patterns
    )
    case = replace(case, patterns=patterns)
    known = timed(SECONDS if step is None else SECONDS | {("HUB", step): 38.0})
    sample, facts = draw(case, known, (), draws=draws, seed=1), plan(case, known)
    sample = sample.changed({"scrap.HUB": scrap}) if scrap else sample
    way = {way.method: way for way in ways(case, known)}[step or "core setter"]
    chosen = np.array([[float(code in over)] for code in facts.patterns])
    return cash_flow(sample, facts, way, case.money, chosen)


def test_what_is_paid_at_first():
    """Setter, installation and training once, two masks of each pattern, ten castings scrapped at their mean cost."""
    found = flow(spare_masks=1, commissioning_scrap=10, hub_mask=11_000.0)
    paid = PRICES | {"masks": 2 * (11_000 + 9_000), "commissioning": 10 * (9.0 + 15.0) / 2}
    assert {name: -values[0] for name, values in found.means.items() if values[0]} == pytest.approx(paid)
    assert found.first_cost == pytest.approx(np.full(4, sum(paid.values())))
    assert found.total[:, 0] == pytest.approx(-found.first_cost)
    alone = flow(("BOX",), commissioning_scrap=10)
    assert alone.first_cost == pytest.approx(np.full(4, sum(PRICES.values()) + 9_000 + 10 * 15.0))


def test_nobody_goes_over_and_nothing_is_paid():
    """Without a pattern there is no setter: no outlay, no sale, no flow in any year."""
    found = flow((), commissioning_scrap=10)
    assert not found.total.any() and not found.first_cost.any()


def test_a_step_is_paid_once_and_needs_no_mask():
    """The rack's 4,000, whatever the masks and the setter cost."""
    found = flow(("HUB",), step="hand and rack")
    assert found.first_cost == pytest.approx(np.full(4, 4_000.0)) and "masks" not in found.means


def test_hours_of_the_line_with_and_without_a_setter():
    """HUB: 97 % of its molds at 30 s, 3 % at 41 s while it is down, 60 changes of 12 min. By rack 3 s less."""
    by_setter = 60_000 * (0.97 * 30 + 0.03 * 41) / 3600
    assert flow(("HUB",)).way_hours == pytest.approx(np.full(4, by_setter + 60 * 12 / 60))
    assert flow(("HUB",), step="hand and rack").hours_saved == pytest.approx(np.full(4, 60_000 * 3 / 3600))


def test_scrap_saved_is_the_candidates_own():
    """One casting of a hundred less at 9.00, two a mold of 60,000: counted by the setter that was, not by the rack."""
    assert flow(("HUB",), scrap=0.01).means["scrap"][1:] == pytest.approx(np.full(10, 0.01 * 2 * 60_000 * 9.0))
    assert "scrap" not in flow(("HUB",), step="hand and rack", scrap=0.01).means


def test_the_setter_is_sold_at_the_end_and_its_masks_are_bought_when_worn():
    """HUB's 60,000 molds a year wear masks of 150,000 out in years 3, 6 and 8; BOX's 40,000 in years 4 and 8."""
    found = flow(mask_life_molds=150_000, spare_masks=1, residual=Range.exactly(15_000.0))
    bought = np.zeros(11)
    for year in (3, 6, 8, 4, 8):
        bought[year] += 9_000
    assert found.means["residual"].tolist() == [0.0] * 10 + [15_000.0]
    assert found.means["mask_replacement"] == pytest.approx(-bought)
    short = flow(("HUB",), mask_life_molds=55_000, spare_masks=1).means["mask_replacement"]
    assert short == pytest.approx([0.0, *[-9_000] * 10]), "one more in every year, the first and the last as well"


def test_parts_add_up_to_the_total_and_draws_do_not_meet():
    """Means of the parts add up to the mean of the total, taxed or not, in one block of draws or in several."""
    for money in ({}, {"tax_rate": 0.25, "depreciation": "macrs7", "ramp_up_molds": 4_000}):
        few, many = flow(draws=4, **money), flow(draws=40_000, **money)
        for found in (few, many):
            assert sum(found.means.values()) == pytest.approx(found.total.mean(axis=0))
        assert many.total[[0, -1]] == pytest.approx(few.total[[0, -1]])
        assert many.way_hours.shape == many.molds_sold.shape == (40_000,)


def test_prices_grow_each_at_its_own_rate():
    """Wages 3, energy 5, other prices 2 % a year: each item of year 4 over the one that does not grow."""
    still, grown = flow(), flow(wage_inflation=0.03, energy_inflation=0.05, price_inflation=0.02)
    rates = {"labour": 1.03, "air": 1.05, "electricity": 1.05, "maintenance": 1.02, "mask_repair": 1.02}
    worn = [flow(mask_life_molds=150_000, price_inflation=rate).means["mask_replacement"][8] for rate in (0.0, 0.02)]
    assert worn[1] == pytest.approx(worn[0] * 1.02**8)
    for name, rate in rates.items():
        assert grown.means[name][4] == pytest.approx(still.means[name][4] * rate**4), name


def test_learning_costs_the_pay_of_what_it_loses():
    """Molds lost on the way to the standard, at the hours of a mold, for three people at the wages of year 1.

    The closed form of the sum is off by some thousandths of a mold where two molds are all there is to learn.
    """
    found = flow(("HUB",), ramp_up_molds=4_000, ramp_up_start=1.5, wage_inflation=0.03)
    lost_h = extra_molds(60_000.0, start=1.5, molds=4_000) * found.way_hours[0] / 60_000
    assert found.means["ramp_up"][1] == pytest.approx(-lost_h * 3 * 23 * 1.42 * 1.03, rel=1e-5)
    assert found.means["ramp_up"][2:] == pytest.approx(np.zeros(9))
    short = flow(("HUB",), ramp_up_molds=2, ramp_up_start=1.5)
    assert short.means["ramp_up"][1] == pytest.approx(-0.5 * short.way_hours[0] / 60_000 * 3 * 23 * 1.42, rel=0.01)
    assert all("ramp_up" not in flow(ramp_up_molds=n, ramp_up_start=s).means for n, s in ((4_000, 1.0), (0.0, 1.5)))


def test_a_lease_stays_as_it_was_signed():
    """9,000 a year in every year, whatever prices and wages do; nothing is paid for the setter itself."""
    found = flow(("HUB",), lease_per_year=9_000, price_inflation=0.02, wage_inflation=0.03)
    assert found.means["lease"] == pytest.approx([0.0, *[-9_000] * 10]) and "setter" not in found.means


def test_tax_takes_its_share_of_the_worth_where_all_is_written_off_at_once():
    """Without interest and sale: (1 - tax) of the sum of all flows, whatever the rule, masks bought again included."""
    plain = flow(mask_life_molds=150_000, residual=Range.exactly(0.0))
    for capitalised in (False, True):
        taxed = flow(
            mask_life_molds=150_000,
            residual=Range.exactly(0.0),
            tax_rate=0.25,
            depreciation="straight",
            depreciation_years=7,
            masks_capitalised=capitalised,
            commissioning_scrap=0,
        )
        assert npv(taxed.total, 0.0) == pytest.approx(0.75 * npv(plain.total, 0.0))
        assert taxed.means["tax"].sum() == pytest.approx(-0.25 * npv(plain.total, 0.0).mean())
