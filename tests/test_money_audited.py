"""Promised against achieved on three small years, added up by hand: what was entered, what fell short, what is open."""

from dataclasses import replace

import pytest
from plant import parts

from coreset.case import Actual
from coreset.money.evaluate import weigh
from coreset.money.post_audit import audit, measured, not_measured, shortfall, verdict

YEARS = (
    {"setter": -100.0},
    {"labour": 60.0, "maintenance": -5.0},
    {"labour": 66.0, "maintenance": -5.0},
    {"labour": 70.0},
)


@pytest.fixture(scope="module")
def promised():
    """A decision whose flows are those of YEARS."""
    found = weigh(*parts(years=3), draws=60)
    flows = [replace(row, parts=p, total=sum(p.values())) for row, p in zip(found.cash_flow, YEARS, strict=True)]
    return replace(found, cash_flow=tuple(flows), discount_rate=0.25, npv_at_means=20.0, payback_years=1.7)


def actual(year, item, amount):
    """One amount that was paid or saved."""
    return Actual(year=year, item=item, amount=amount, origin="invoice 7")


def test_what_was_entered_takes_the_place_of_what_is_reckoned(promised):
    """Setter 110 in place of 100, labour of year 2 at 50 in place of 66, 10 of scrap that nobody promised.

    The rest of labor goes on at 50 / 66: flows -110, 40.4545, 55, 53.0303 at 25 %: -110 + 32.3636 + 35.2 + 27.1515
    = -15.2848; back in 2 + 14.5455 / 53.0303 years.
    """
    paid = [actual(0, "setter", 110.0), actual(2, "labour", 50.0), actual(2, "scrap", 6.0), actual(2, "scrap", 4.0)]
    rows = audit(promised, promised, paid)
    whole = {row.item: row for row in rows if row.kind == "figure"}
    assert whole["npv"].achieved == pytest.approx(-15.2848, abs=1e-4) and whole["npv"].promised == 20.0
    assert (
        whole["payback"].achieved == pytest.approx(2.27429, abs=1e-5)
        and whole["npv"].basis == whole["payback"].basis == "forecast"
    )
    assert whole["saving"].basis == "studied"
    years = {(row.year, row.item): row for row in rows if row.kind != "figure"}
    assert {year for year, _ in years} == {0, 1, 2}
    assert years[0, "setter"].achieved == -110.0 and years[0, "setter"].kind == "cost"
    assert (years[2, "scrap"].promised, years[2, "scrap"].achieved, years[2, "scrap"].basis) == (0.0, 10.0, "entered")
    assert (years[2, "measured"].promised, years[2, "measured"].achieved) == pytest.approx((66.0, 60.0))
    assert (measured(rows).promised, measured(rows).achieved) == pytest.approx((-34.0, -50.0))
    assert shortfall(rows) == years[2, "labour"] and years[2, "labour"].difference == -16.0
    assert not_measured(rows) == {1: ("labour", "maintenance"), 2: ("maintenance",)}


def test_without_entries_the_first_year_alone_has_run(promised):
    """Nothing entered: outlay and year 1 are shown, and nothing is measured, so nothing falls short."""
    rows = audit(promised, promised)
    assert {row.year for row in rows if row.kind != "figure"} == {0, 1}
    assert verdict(rows) == "not_measured" and shortfall(rows) is None
    assert not_measured(rows) == {0: ("setter",), 1: ("labour", "maintenance")}


@pytest.mark.parametrize(("paid", "short"), [(100.0, None), (100.5, "setter"), (99.5, None)])
def test_half_a_unit_falls_short_and_nothing_does_not(promised, paid, short):
    """A setter half a unit dearer is the shortfall; as dear as promised, or cheaper, there is none."""
    found = shortfall(audit(promised, promised, [actual(0, "setter", paid)]))
    assert (found and found.item) == short


def test_no_more_years_have_run_than_are_reckoned(promised):
    """An entry for year 3 shows all three years."""
    rows = audit(promised, promised, [actual(3, "labour", 70.0)])
    assert {row.year for row in rows if row.kind != "figure"} == {0, 1, 2, 3}
