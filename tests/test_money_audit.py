"""The audit: what was promised beside what came of it, checked by what the money of each year must add up to."""

import math
from dataclasses import replace

import pytest
from plant import parts

from coreset.case import Actual
from coreset.money.evaluate import weigh
from coreset.money.post_audit import audit, verdict


@pytest.fixture(scope="module")
def decision():
    """One decision, not taxed, so that nobody paid rent for a setter."""
    case, *others = parts()
    return weigh(case, *others, draws=1_000)


def by_place(rows):
    """Rows by year and item."""
    return {(row.year, row.item): row for row in rows}


def test_what_nobody_promised_counts_in_its_own_year_only(decision):
    """A lease paid in year 2 that the purchase was to have none of: 900 less, a row of that year, nothing elsewhere."""
    assert all("lease" not in year.parts for year in decision.cash_flow)
    rows = audit(decision, decision, [Actual(year=2, item="lease", amount=900.0, origin="invoice 7")])
    found = by_place(rows)
    assert [row.year for row in rows if row.item == "lease"] == [2]
    assert (found[2, "lease"].promised, found[2, "lease"].achieved) == (0.0, -900.0)
    assert found[None, "npv"].difference == pytest.approx(-900.0 / (1 + decision.discount_rate) ** 2)
    assert found[2, "measured"].difference == pytest.approx(-900.0)


def test_what_nobody_entered_is_not_measured(decision):
    """No actual: no value of maintenance; labor is what the studies imply, and neither has part in the sums."""
    rows = by_place(audit(decision, decision))
    assert math.isnan(rows[1, "maintenance"].achieved) and rows[1, "maintenance"].basis == "missing"
    assert rows[1, "labour"].achieved == decision.cash_flow[1].parts["labour"]
    assert rows[1, "labour"].basis == "studied" and math.isnan(rows[1, "measured"].achieved)
    assert verdict(rows.values()) == "not_measured"


def test_a_promise_that_is_met_to_the_cent_is_within_it(decision):
    """Without any spread both ends are the mean; the mean is within."""
    mean = decision.saving_at_means
    sure = replace(decision, yearly_saving=replace(decision.yearly_saving, low=mean, high=mean))
    assert by_place(audit(sure, sure))[None, "saving"].within


@pytest.mark.parametrize(
    ("share", "answer"), [(0.3, "short"), (0.79, "short"), (0.81, "kept"), (1.0, "kept"), (1.4, "kept")]
)
def test_a_year_is_judged_by_what_was_measured(decision, share, answer):
    """Labor of year 1 at 30 % of its promise is short, whatever the many items that nobody entered were promised to be.

    The promised saving has a low end 20 % below its mean.
    """
    mean = decision.saving_at_means
    sure = replace(decision, yearly_saving=replace(decision.yearly_saving, low=0.8 * mean))
    saved = share * decision.cash_flow[1].parts["labour"]
    assert verdict(audit(sure, sure, [Actual(year=1, item="labour", amount=saved, origin="payroll")])) == answer


def test_one_good_year_does_not_hide_a_bad_one(decision):
    """Labor of year 1 at 30 % and of year 2 at 180 %: a year fell short."""
    given = [
        Actual(year=t, item="labour", amount=share * decision.cash_flow[t].parts["labour"], origin="payroll")
        for t, share in ((1, 0.3), (2, 1.8))
    ]
    assert verdict(audit(decision, decision, given)) == "short"
