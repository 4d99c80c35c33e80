"""The audit: what was promised beside what came of it, checked by what the money of each year must add up to."""

from dataclasses import replace

import pytest
from plant import parts

from coreset.case import Actual
from coreset.money import weigh
from coreset.money.audit import AuditRow, audit, keeps_promise

ROW = AuditRow(kind="figure", item="saving", promised=100.0, achieved=100.0)
WORTH = replace(ROW, item="npv")


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
    assert found[2, "total"].difference == pytest.approx(-900.0)


def test_what_is_no_longer_reckoned_is_worth_nothing(decision):
    """An item that the case as it stands now has none of: achieved is 0, the whole promise is the difference."""
    years = tuple(
        replace(year, parts={name: value for name, value in year.parts.items() if name != "maintenance"})
        for year in decision.cash_flow
    )
    row = by_place(audit(decision, replace(decision, cash_flow=years)))[1, "maintenance"]
    assert row.achieved == 0.0 and row.difference == -decision.cash_flow[1].parts["maintenance"]


def test_a_sum_is_as_sure_as_its_parts(decision):
    """All parts alike: so is their sum; one reckoned part makes the sum reckoned; else what was entered names it."""
    only = {
        "studied": {"labour": 10.0, "overtime": 5.0},
        "missing": {"labour": 10.0, "maintenance": -5.0},
        "entered": {"labour": 10.0, "scrap": 5.0},
    }
    paid = [Actual(year=1, item="scrap", amount=5.0, origin="invoice 7")]
    for basis, of_it in only.items():
        years = (decision.cash_flow[0], replace(decision.cash_flow[1], parts=of_it), *decision.cash_flow[2:])
        now = replace(decision, cash_flow=years)
        rows = audit(now, now, paid if basis == "entered" else ())
        assert by_place(rows)[1, "total"].basis == basis
    every = [Actual(year=1, item=name, amount=1.0, origin="invoice 7") for name in decision.cash_flow[1].parts]
    assert by_place(audit(decision, decision, every))[1, "total"].basis == "entered"


def test_a_promise_that_is_met_to_the_cent_is_within_it(decision):
    """Without any spread both ends are the mean; the mean is within."""
    mean = decision.yearly_saving.mean
    sure = replace(decision, yearly_saving=replace(decision.yearly_saving, low=mean, high=mean))
    assert by_place(audit(sure, sure))[None, "saving"].within


@pytest.mark.parametrize(
    "achieved, within, kept",
    [(90.0, True, True), (110.0, False, True), (100.5, False, True), (90.0, False, False), (100.0, None, True)],
)
def test_kept_is_within_the_promise_or_above_it(achieved, within, kept):
    """More than promised keeps a promise as well, however little it is; less does where it is within."""
    rows = [replace(ROW, achieved=achieved, within=within), WORTH]
    assert keeps_promise(rows) is kept
