"""[hse2004]: shares of a team, as a page scan of the third edition shows paragraph 120."""

import pytest
from printed import conformance

from coreset.lifting.en_iso import factored_index, team_factors


@pytest.mark.rules("HSE-team")
@pytest.mark.parametrize("row", conformance("team_lifting"))
def test_team_shares(row):
    """[hse2004] paragraph 120: a team lifts this share of the sum of what each could lift alone."""
    persons, share = int(row.persons), int(row.numerator) / int(row.denominator)
    found = factored_index(20.0, 30.0, hands=2, persons=persons)
    assert found.index == pytest.approx(30 / (share * persons * 20)) and found.status == "reprinted"
    assert found.at_least and found.load_share == 30 / persons


@pytest.mark.rules("HSE-team-four")
def test_more_than_three_lift_as_much_as_three():
    """Nothing is printed for four, and more are said to be unlikely to work: no further person adds anything."""
    three, four, nine = (factored_index(20.0, 30.0, hands=2, persons=n) for n in (3, 4, 9))
    assert max(team_factors()) == 3 and three.index == four.index == nine.index and nine.persons == 9
