"""[doe_air] example of a 200-hp compressor, and the ratio of [bls_ecec2025]."""

import pytest
from printed import as_printed, rows

from coreset.money.air import compressor_cost, cost_per_m3
from coreset.sources import table

STATES = rows("doe_air/tip_sheet_example")


def cost(row):
    """Cost of one state of load."""
    names = ("power_hp", "hours", "price_per_kwh", "time_share", "load", "efficiency")
    return compressor_cost(**{name: float(getattr(row, name)) for name in names})


@pytest.mark.rules("AIR-cost")
@pytest.mark.parametrize("row", STATES)
def test_each_state(row):
    """48,792 at full load and 2,272 unloaded."""
    assert cost(row) == as_printed(row.usd)


@pytest.mark.rules("AIR-cost")
@pytest.mark.unverified
def test_the_whole_year():
    """51,064 together; a year's cost over 1,000 cubic feet agrees with 24 to 27 cents at 17.8 to 20.1 kW/100 cfm."""
    assert sum(cost(row.values[0]) for row in STATES) == pytest.approx(51_064, abs=1)
    per_foot = 0.028316846592 * 1000
    assert cost_per_m3(kw_per_100_cfm=17.8, price_per_kwh=0.081) * per_foot == as_printed("0.24")
    assert cost_per_m3(kw_per_100_cfm=20.1, price_per_kwh=0.081) * per_foot == as_printed("0.27")


@pytest.mark.parametrize("row", rows("bls_ecec2025/employer_cost"))
def test_employers_cost_over_the_wage(row):
    """[bls_ecec2025]: 45.65 over 32.07 an hour, 1.4234; the employer's factor of the demo case starts from it."""
    assert float(row.compensation_usd) / float(row.wages_usd) == as_printed("1.4234")


def test_published_injury_costs_are_shown_never_used():
    """[nsc_facts] 42,000, [ncci] 41,353 and [wc_closed_claims] 1,477 USD stand in the note; no money is."""
    from pathlib import Path

    import coreset.money

    assert table("nsc_facts/cost_per_injury").column("usd")[0] == 42_000
    assert table("ncci/lost_time_claim").column("usd")[0] == 41_353
    assert table("wc_closed_claims/mean_payment").column("usd")[0] == 1_477
    text = "".join(path.read_text() for path in Path(coreset.money.__file__).parent.glob("*.py"))
    assert not [name for name in ("nsc_facts", "ncci", "wc_closed_claims") if name in text]
