"""Worth, tax, loan, lease, replacement and phase-in against printed examples and other libraries.

Savings that differ from year to year are put together with an overhaul and a replacement of negative cost.
"""

import numpy as np
import numpy_financial
import pytest
import pyxirr
from figures_cases import SIZE as DEMO_SIZE
from figures_cases import demo_inputs, purchase

from coreset.figures import evaluate
from coreset.money.figures import MODEL
from coreset.money.tax import macrs, macrs_mid_quarter, straight_line, sum_of_years


def test_maximum_price_example():
    """185,000 and 28,000 for 55,000 a year, tax 25 %, straight line 10, 9 %: computed apart from this program."""
    got = purchase(
        10,
        straight_line(10),
        setter_price=185_000,
        installation=28_000,
        injury_cost_per_year=55_000,
        tax_rate=0.25,
        discount_rate=0.09,
    )
    assert got["npv"] == pytest.approx(85_902.41, abs=0.005)
    assert got["irr"] == pytest.approx(0.175113, abs=5e-7)
    assert got["payback_years"] == pytest.approx(4.573269, abs=5e-7)


def test_loan_and_equity():
    """150,000 of 200,000 borrowed at 8 % over 5 years: computed apart; financing alone is worth 0 at 6 %."""
    got = purchase(
        5,
        straight_line(5),
        setter_price=200_000,
        injury_cost_per_year=60_000,
        tax_rate=0.25,
        discount_rate=0.10,
        loan_share=0.75,
        loan_rate=0.08,
        loan_years=5,
    )
    assert got["interest"].round(2).tolist() == [12000.00, 9954.52, 7745.41, 5359.56, 2782.85]
    assert got["project_flow"].tolist() == pytest.approx([-200_000] + [55_000] * 5)
    assert got["npv"] == pytest.approx(8_493.27, abs=0.005)
    assert got["equity_flow"] == pytest.approx([-50_000, 20431.53, 19920.16, 19367.88, 18771.42, 18127.24], abs=0.005)
    assert got["equity_npv"] == pytest.approx(23_665.17, abs=0.005)
    financing = got["equity_flow"] - got["project_flow"]
    assert pyxirr.npv(0.06, list(financing)) == pytest.approx(0, abs=1e-6)


def test_real_and_nominal_after_tax():
    """Ross, Westerfield and Jaffe, Corporate Finance, 13th ed.: nominal flows 953 and 1,083, NPV 427; the real
    revenues and expenses are from memory and reproduce every printed figure."""
    got = purchase(
        2,
        [0.5, 0.5],
        setter_price=1210,
        injury_cost_per_year=950,
        overhaul_cost=-50,
        overhaul_year=2,
        price_inflation=0.10,
        tax_rate=0.21,
        discount_rate=0.155,
    )
    assert got["net"].round().tolist() == [953, 1083]
    assert round(got["npv"]) == 427


def test_inflation_of_an_exam():
    """Flows of 10,000, 20,000 and 25,000 at today's prices, 5 % inflation, 14 % nominal (printed 15,701 with factors of
    three digits)."""
    got = purchase(
        3,
        setter_price=30_000,
        injury_cost_per_year=10_000,
        overhaul_cost=-10_000,
        overhaul_year=2,
        lost_margin_per_h=0,
        price_inflation=0.05,
        discount_rate=0.14,
        replacement_cost=-15_000,
        replacement_year=3,
    )
    assert got["npv"] == pytest.approx(15_711.38, abs=0.005)


def test_macrs_with_inflation():
    """213,000 for 55,000 a year at today's prices, MACRS 7: computed apart; depreciation is not inflated."""
    got = purchase(
        10,
        macrs(7),
        setter_price=213_000,
        injury_cost_per_year=55_000,
        price_inflation=0.025,
        tax_rate=0.25,
        discount_rate=0.09,
    )
    assert got["npv"] == pytest.approx(125_328.53, abs=0.005)


def test_replacement_is_written_off_from_its_own_year():
    """A part replaced in year 3 under MACRS 3: the tax saved is the share of its own years, the rest in the last."""
    changes = {"setter_price": 100.0, "tax_rate": 0.25, "injury_cost_per_year": 50.0}
    plain = purchase(5, macrs(3), **changes)
    later = purchase(5, macrs(3), **changes, replacement_cost=40.0, replacement_year=3)
    difference = later["net"] - plain["net"]
    assert difference.tolist() == pytest.approx(
        [0, 0, -40 + 0.25 * 40 * 0.3333, 0.25 * 40 * 0.4445, 0.25 * 40 * (0.1481 + 0.0741)], abs=1e-9
    )


def test_lease_with_term_and_purchase_at_its_end():
    """Rent is deducted while the lease runs; the price at its end is written off from that year on."""
    got = purchase(
        6, [0.5, 0.5], injury_cost_per_year=100, lease_per_year=30, lease_years=3, lease_buyout=40, tax_rate=0.25
    )
    running = [100 - 30] * 3 + [100] * 3
    expected = [0.75 * each for each in running]
    expected[2] += -40 + 0.25 * 20
    expected[3] += 0.25 * 20
    assert got["net"].tolist() == pytest.approx(expected, abs=1e-9)


def test_lease_for_ever_where_no_term_is_given():
    """0 years are all years."""
    assert purchase(4, lease_per_year=10)["net"].tolist() == [-10] * 4


def test_grant_lowers_what_is_written_off():
    """The grant comes at the start; the tax that it costs is the rate times the grant, over the years."""
    got = purchase(4, straight_line(4), setter_price=100, tax_rate=0.25, grant=40)
    assert (got["equity_flow"] - got["project_flow"]).tolist() == pytest.approx([40, -2.5, -2.5, -2.5, -2.5])


def test_working_capital_comes_back_untaxed():
    """Out at the start, in at the end, in neither year in the taxed income."""
    difference = (
        purchase(3, tax_rate=0.3, working_capital=20)["project_flow"] - purchase(3, tax_rate=0.3)["project_flow"]
    )
    assert difference.tolist() == [-20, 0, 0, 20]


def test_production_lost_at_installation():
    """Hours that are made up are paid once more, and margin that is lost is lost; deducted in year 1."""
    got = purchase(
        2,
        installation_lost_hours=10,
        wage_per_h=20,
        employer_factor=1.5,
        line_crew=3,
        operators_today=1,
        operators_proposed=1,
        lost_margin_per_h=100,
        tax_rate=0.5,
    )
    assert got["project_flow"].tolist() == [-10 * (30 * 4 + 100), 0.5 * 2200, 0]


def test_phase_in_and_a_program_that_ends():
    """A pattern that goes over in year 3 saves from then on and buys its mask the year before; one that ends saves no
    more and needs no mask repair."""
    inputs = demo_inputs()
    inputs |= {"moved": [1.0, 0.0, 0.0, 0.0, 0.0], "moved_from": [3.0, 1.0, 1.0, 1.0, 1.0]}
    shares = np.ones((5, 10))
    shares[0, 6:] = 0.0
    inputs["volume_share"] = shares
    found = evaluate(
        MODEL,
        inputs,
        DEMO_SIZE,
        keep=["line_hours_saved", "mask_phase_in", "masks", "mask_repair", "mask_change_hours"],
    )
    made = [0, 0, 1, 1, 1, 1, 0, 0, 0, 0]
    assert (found["line_hours_saved"][0, :, 0] > 0).tolist() == [bool(x) for x in made]
    assert (found["mask_repair"][0, :, 0] < 0).tolist() == [bool(x) for x in made]
    assert (found["mask_change_hours"][0, :, 0] > 0).tolist() == [bool(x) for x in made]
    assert found["masks"].item() == 0
    assert np.flatnonzero(found["mask_phase_in"][0, :, 0]).tolist() == [1]


@pytest.mark.parametrize("shares", [straight_line(7), sum_of_years(7), macrs(7), macrs_mid_quarter(7, 4)])
def test_net_present_value_and_rate_of_return_elsewhere(shares):
    """pyxirr and numpy-financial on the demo's flow under four rules of depreciation."""
    by_year = np.zeros(10)
    by_year[: len(shares)] = shares
    inputs = demo_inputs() | {"tax_rate": 0.27, "write_off_share": by_year, "write_off_share_later": by_year}
    found = evaluate(MODEL, inputs, DEMO_SIZE, keep=["project_flow", "npv", "irr", "equity_flow", "equity_npv"])
    flow, equity = (found[key][0, :, 0].tolist() for key in ("project_flow", "equity_flow"))
    assert pyxirr.npv(0.09, flow) == pytest.approx(found["npv"].item(), rel=1e-9)
    assert numpy_financial.npv(0.09, flow) == pytest.approx(found["npv"].item(), rel=1e-9)
    assert pyxirr.irr(flow) == pytest.approx(found["irr"].item(), rel=1e-9)
    assert pyxirr.npv(0.09, equity) == pytest.approx(found["equity_npv"].item(), rel=1e-9)


def test_loan_table_elsewhere():
    """numpy-financial's payment, interest and principal of the demo's loan."""
    found = evaluate(MODEL, demo_inputs(), DEMO_SIZE, keep=["loan", "loan_payment", "interest"])
    loan = found["loan"].item()
    assert found["loan_payment"][0, 0, 0] == pytest.approx(-numpy_financial.pmt(0.07, 5, loan), rel=1e-12)
    interest = -numpy_financial.ipmt(0.07, np.arange(1, 6), 5, loan)
    assert found["interest"][0, :5, 0] == pytest.approx(interest, rel=1e-9)
    assert not found["interest"][0, 5:, 0].any()
