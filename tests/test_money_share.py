"""Labor saved counts only where the plant says which share of the hours is really not paid."""

from dataclasses import replace

import pytest
from plant import parts

from coreset.money.evaluate import weigh
from coreset.money.report.sentences import note


def decided(**money):
    """The invented plant with other money."""
    case, *others = parts()
    return weigh(replace(case, money=replace(case.money, li_limit=1.0, **money)), *others, draws=50)


@pytest.mark.parametrize("field", ["hours_saved_paid", "line_crew"])
def test_what_is_not_entered_counts_nothing_and_is_asked_for(field):
    """Not entered is worth what 0 is; only where it is not entered does a note ask for it."""
    missing, none = decided(**{field: None}), decided(**{field: 0.0})
    assert missing.npv == pytest.approx(none.npv)
    asked = {each.code: note(each) for each in missing.notes}
    assert asked[f"{field}_missing"].startswith("Enter the ")
    assert f"{field}_missing" not in {each.code for each in none.notes}
    if field == "hours_saved_paid":
        assert missing.cash_flow[1].parts.get("labour", 0.0) <= 0.0 < decided().cash_flow[1].parts["labour"]
