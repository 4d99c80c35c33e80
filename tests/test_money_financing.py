"""Loan, grant and lease as a case enters them: redone by a plain balance of the loan and a plain list of payments."""

from dataclasses import replace

import numpy_financial as npf
import pytest
from test_money_some_years import decided

from coreset.brief.content import content
from coreset.brief.document import document
from coreset.case import Range
from coreset.money.report import financing
from coreset.money.report.sentences import about
from tests.test_decision import changed

PRICE, TAX, RATE, YEARS = 170_000.0, 0.25, 0.10, 10
SL = {"tax_rate": TAX, "depreciation": "straight", "depreciation_years": 5, "ramp_up_molds": 0.0}


def test_own_money_differs_from_the_project_by_loan_and_grant_alone():
    """60 % borrowed at 8 % over 4 years and a grant of 20,000: a balance year by year, interest and grant taxed."""
    loan, grant = 0.6 * PRICE, 20_000.0
    found = decided(**SL, loan_share=0.6, loan_rate=0.08, loan_years=4, grant=Range.exactly(grant))
    plain = decided(**SL)
    payment, owed = -npf.pmt(0.08, 4, loan), loan
    more = [loan + grant] + [0.0] * YEARS
    for year in range(1, YEARS + 1):
        if year <= 4:
            interest = 0.08 * owed
            more[year] += TAX * interest - payment
            owed += interest - payment
        if year <= 5:
            more[year] -= TAX * grant / 5
    assert owed == pytest.approx(0.0, abs=1e-6)
    assert found.base.flow().tolist() == pytest.approx(plain.base.flow().tolist()), "the project is as it was"
    assert found.npv == pytest.approx(plain.npv) and found.payback_years == plain.payback_years
    equity = [a + b for a, b in zip(plain.base.flow(), more, strict=True)]
    assert found.base.flow("equity_flow").tolist() == pytest.approx(equity)
    assert found.base.number("equity_npv") == pytest.approx(npf.npv(RATE, equity))
    lines = list(financing.flows(found).values())
    assert sum(lines[:-1]).tolist() == pytest.approx(lines[-1].tolist()), "the lines lead from one flow to the other"
    assert len(financing.sentences(found)) == 2 and len(financing.own_money(found)) == len(lines)
    assert len(financing.sentences(plain)) == 1 and not financing.own_money(plain)


def test_own_money_stands_on_page_two_apart_from_the_project_and_only_where_there_is_any():
    """Two worths in one sentence, the rate in the one before it; without loan and grant neither."""
    for terms, told in (({"loan_share": 0.5, "loan_rate": 0.08}, True), ({}, False)):
        a = changed(money=terms)
        words = [block.text for block in content(a, {}).two if "plant's own money" in block.text]
        assert bool(words) is told
        rows = {row["key"]: row["value"] for row in document(a)["money"]["figures"]}
        assert (rows["npv"] != rows["equity_npv"]) is told and (rows["project_flow"] != rows["equity_flow"]) is told
        for key in ("npv", "equity_npv"):
            assert not told or about(rows[key], "USD", 3) in words[0]


def leased(**money):
    """The row of the lease, and the difference of its flow from that of the same lease without end, by year."""
    rows = [
        next(row for row in decided(lease_per_year=30_000.0, **each).alternatives if row.name == "leased")
        for each in (money, {})
    ]
    return rows[0], [a - b for a, b in zip(rows[0].flow, rows[1].flow, strict=True)]


def test_a_lease_that_ends_with_a_purchase():
    """Paid for 4 years, bought for 40,000 in the last; then no lease, and the residual value is the plant's."""
    row, more = leased(lease_years=4, lease_buyout=40_000.0)
    assert more == pytest.approx([0, 0, 0, 0, -40_000, *[30_000] * 5, 30_000 + 15_000])
    assert row.first_cost < PRICE


@pytest.mark.parametrize(
    "terms", [{"lease_years": 4}, {"lease_buyout": 9_000.0}, {"lease_buyout": 9.0, "lease_years": 11}]
)
def test_a_lease_without_both_terms_runs_on(terms):
    """Not bought at its end it is renewed; a price without a year that counts is asked for, never taken in silence."""
    assert leased(**terms)[1] == pytest.approx([0.0] * (YEARS + 1))
    asked = {note.code for note in decided(lease_per_year=30_000.0, **terms).notes}
    assert ("lease_years_missing" in asked) is ("lease_buyout" in terms)


def test_lease_and_loan_stay_with_their_own_option():
    """The purchase pays no lease; the lease has neither loan nor grant, and hand work has none of them."""
    found = decided(
        lease_per_year=30_000.0, lease_years=4, lease_buyout=40_000.0, loan_share=1.0, grant=Range.exactly(9e3)
    )
    plain = decided()
    assert found.npv == pytest.approx(plain.npv) and "buyout" not in found.cash_flow[4].parts
    by_hand = [next(row for row in d.alternatives if row.name == "hand and rack") for d in (found, plain)]
    assert by_hand[0].npv == by_hand[1].npv


def test_tax_without_a_rule_asks():
    """No rule is no rule: nothing is written off, and it is asked for; none on purpose is an answer."""
    asked = {rule: decided(tax_rate=TAX, depreciation=rule) for rule in (None, "none")}
    assert asked[None].npv == asked["none"].npv
    codes = {rule: {note.code for note in d.notes} for rule, d in asked.items()}
    assert "depreciation_missing" in codes[None] and "depreciation_missing" not in codes["none"]
    assert "depreciation_missing" not in {note.code for note in decided().notes}, "without tax no rule is missed"


def test_nominal_and_real_rates_are_told_apart():
    """10 % nominal with prices up by 2 % is 1.10/1.02 - 1 = 7.8 % real: said beside the flows."""
    words = financing.sentences(decided())[0]
    assert "10.0 %" in words and "2.0 %" in words and "7.8 %" in words


def test_a_grant_on_an_option_of_another_price():
    """A used setter gets no grant that was promised for a new one."""
    two = [decided(second_hand_price=90_000.0, grant=Range.exactly(amount)) for amount in (0.0, 9_000.0)]
    used = [next(row for row in d.alternatives if row.name == "second-hand") for d in two]
    assert used[0] == replace(used[1])
