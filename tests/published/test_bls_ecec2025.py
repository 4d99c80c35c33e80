"""The ratio of [bls_ecec2025], and published costs of injuries that no money rests on."""

import pytest
from printed import as_printed, rows

from coreset.sources import table


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
