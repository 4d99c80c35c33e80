"""Finance examples with printed answers: [numpy_financial], [spreadsheet_docs], [ise460], [newnan] and others."""

import numpy as np
import pytest
from figures_cases import purchase
from money_kinds import figure_of
from printed import as_printed, rows, tolerance

from coreset.money.discount import annuity_factor, npv
from coreset.money.irr import irr_roots
from coreset.money.tax import macrs, straight_line, written_off
from coreset.sources import table

SOURCES = [
    "numpy_financial",
    "numpy_financial_28",
    "spreadsheet_docs",
    "ise460",
    "lorie1955",
    "brealey",
    "exam_dcf",
    "mqriskr",
    "eac_article",
    "course_questions",
    "blank2012",
    "white2010",
    "thumann2010",
    "lease_items",
    "replacement_item",
]
EXAMPLES = [case for key in SOURCES for case in rows(f"{key}/examples") if case.values[0].kind != "npv_of_rounded"]


@pytest.mark.rules("PAYBACK-good", "PAYBACK-whole", "RATE-mirr", "RATE-none", "RATE-npv", "RATE-two", "TAX-ddb")
@pytest.mark.parametrize("row", EXAMPLES)
def test_printed_example(row):
    """Every printed answer, to half a unit of its last digit; a printed rate is among all the rates found."""
    if row.kind != "irr":
        assert figure_of(row) == as_printed(row.printed)
        return
    found = irr_roots([float(c) for c in row.flow.split()])
    if row.printed == "none":
        assert found == ()
        return
    assert min(abs(np.array(found) - float(row.printed))) <= tolerance(row.printed) * (1 + 1e-9)


def test_exam_cumulative_row():
    """[exam_dcf]: the printed cumulative discounted flows; the answer rounds each line, hence 0.05."""
    flow = np.array([-200_000, 60_000, 80_000, 70_000, 60_000, 50_000])
    total = np.cumsum(flow * 1.12 ** -np.arange(6.0))
    assert total == pytest.approx([-200_000.00, -146_428.57, -82_653.06, -32_828.44, 5_302.64, 33_673.98], abs=0.05)


def test_capital_lease_from_flows_that_are_printed_rounded():
    """[thumann2010] table 2-10: six flows printed to the unit give 681,954; the book, with its own digits, 681,953."""
    (row,) = (row for row in table("thumann2010/examples").rows if row["kind"] == "npv_of_rounded")
    flow = [float(c) for c in row["flow"].split()]
    assert npv(flow, float(row["rate"])) == pytest.approx(float(row["printed"]), abs=0.5 * len(flow))


NEWNAN = {"setter_price": 3000, "injury_cost_per_year": 800, "residual": 750, "tax_rate": 0.34}


@pytest.mark.rules("TAX-gain", "TAX-sale")
def test_newnan_after_tax_flows():
    """[newnan] Figure 12-3: flows after tax with 5-year MACRS sold in year 5, and their rate 11.24 %."""
    net = purchase(5, written_off(macrs(5), years=5, year_of_sale=0.5), **NEWNAN)["project_flow"]
    for row in table("newnan/figure12_3").rows:
        if row["year"] == "irr":
            assert irr_roots(net)[0] == as_printed(row["after_tax"])
        else:
            assert net[int(row["year"])] == as_printed(row["after_tax"])


def test_newnan_straight_line_prints_a_digit_off():
    """[newnan] Example 12-6 prints 10.6 %; the flows it prints give 10.55 %, 10.5 when cut: one in the last digit."""
    net = purchase(5, straight_line(5) * (3000 - 750) / 3000, **NEWNAN)["project_flow"]
    assert irr_roots(net)[0] == pytest.approx(0.106, abs=0.001)


def test_wrong_posted_annual_cost():
    """A posted worked answer of 240.94 rounds its annuity factor to 1.646; the true one, 1.6681, gives 236.94."""
    cost = 165 + 120 / annuity_factor(0.13, 2)
    assert cost == as_printed("236.94")
    assert cost != as_printed("240.94")


def test_issue_28_cuts_its_second_rate():
    """[numpy_financial_28] prints -76 % beside 185 %: the rate is -76.9 %, digits cut rather than rounded."""
    low, high = irr_roots([-50, -100, 600, 300, -100])
    assert int(low * 100) == -76
    assert int(high * 100) == 185
