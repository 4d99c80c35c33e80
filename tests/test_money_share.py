"""Labor saved counts only where the plant says which share of the hours is really not paid."""

from dataclasses import replace

import numpy as np
import pytest
from plant import parts, plant

from coreset.case import Range
from coreset.errors import StudyError
from coreset.money.evaluate import weigh
from coreset.money.report.base_figures import inputs
from coreset.money.report.sentences import note
from coreset.money.simulation_inputs import draw
from coreset.store.folder.plain import build, plain

SHARE = Range(low=0.5, likely=0.8, high=0.95, source="payroll of 2025")


def decided(**money):
    """The invented plant with other money."""
    case, *others = parts()
    return weigh(replace(case, money=replace(case.money, li_limit=1.0, **money)), *others, draws=50)


@pytest.mark.parametrize("field", ["hours_saved_paid", "line_crew"])
def test_what_is_not_entered_counts_nothing_and_is_asked_for(field):
    """Not entered is worth what 0 is; only where it is not entered does a note ask for it."""
    missing, none = decided(**{field: None}), decided(**{field: Range.exactly(0.0)})
    assert missing.npv == pytest.approx(none.npv)
    asked = {each.code: note(each) for each in missing.notes}
    assert asked[f"{field}_missing"].startswith("Enter the ")
    assert f"{field}_missing" not in {each.code for each in none.notes}
    if field == "hours_saved_paid":
        assert missing.cash_flow[1].parts.get("labour", 0.0) <= 0.0 < decided().cash_flow[1].parts["labour"]


def test_share_and_crew_are_inputs_with_a_range():
    """Both move the answer, alone and with all others; the share never leaves 0 to 1; range and source are shown."""
    case, *others = parts()
    case = replace(case, money=replace(case.money, hours_saved_paid=SHARE, line_crew=Range(low=1, likely=2, high=3)))
    found = weigh(case, *others, draws=2_000)
    rows = {row.name: row for row in found.drivers}
    for name in ("hours_saved_paid", "line_crew"):
        assert rows[name].at_low < rows[name].at_high and rows[name].total_order > 0.01
    shown = {row["key"]: row for row in inputs(case, found)}["hours_saved_paid"]
    assert [shown[part] for part in ("low", "likely", "high", "source")] == [0.5, 0.8, 0.95, "payroll of 2025"]
    share = draw(case, (), (), draws=10_000, seed=1)["hours_saved_paid"]
    assert share.min() >= 0.0 and share.max() <= 1.0
    assert np.quantile(share, [0.1, 0.5, 0.9]) == pytest.approx([0.5, 0.8, 0.95], abs=0.01)


def test_a_share_of_people_is_no_price():
    """Correlated prices leave the runs of share and crew as they are."""
    case = plant()
    money = replace(case.money, hours_saved_paid=SHARE, line_crew=Range(low=1, likely=2, high=3))
    alone, tied = (
        draw(replace(case, money=replace(money, price_correlation=rho)), (), (), draws=400, seed=1)
        for rho in (0.0, 0.9)
    )
    for name in ("hours_saved_paid", "line_crew"):
        assert np.array_equal(alone[name], tied[name])
    assert not np.array_equal(alone["wage_per_h"], tied["wage_per_h"])


@pytest.mark.parametrize(("low", "likely", "high", "found"), [(0.5, 0.8, 1.2, "not above 1"), (-0.1, 0.8, 1, "not be")])
def test_a_share_outside_0_and_1_is_a_fault(low, likely, high, found):
    """A plain number is as good as a range; an end that no share can have is refused by name."""
    written = plain(plant())
    written["money"]["hours_saved_paid"] = 0.8
    assert build(written).money.hours_saved_paid == Range.exactly(0.8)
    written["money"]["hours_saved_paid"] = {"low": low, "likely": likely, "high": high}
    with pytest.raises(StudyError, match=found) as error:
        build(written)
    assert [fault.column for fault in error.value.faults] == ["hours_saved_paid"]
