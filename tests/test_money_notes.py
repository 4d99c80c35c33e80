"""What is told beside the figures: rates of return that are several or none, and what scrap counts can say."""

import numpy as np
import pytest
from plant import parts, plant
from test_money_parts import counted
from test_money_ways import FULL
from test_money_weigh import exactly

from coreset.case import Range
from coreset.errors import OutOfRange
from coreset.money.evaluate import weigh
from coreset.money.irr import irr_roots
from coreset.money.report.sentences import note
from coreset.money.scrap import castings_needed, findings
from coreset.money.tax import macrs

DRAWS = 400


def told(found):
    """Notes by code."""
    return {each.code: each for each in found.notes}


def real_roots(flow):
    """Rates above -100 % by numpy's companion matrix."""
    v = np.roots(np.asarray(flow)[::-1])
    return np.sort(1 / v[(abs(v.imag) < 1e-9) & (v.real > 1e-9)].real - 1)


@pytest.mark.rules("RATE-two")
@pytest.mark.parametrize(
    ("code", "money"),
    [
        ("irr_several", {"residual": Range.exactly(-50_000.0)}),
        ("irr_none", {"maintenance_per_year": Range.exactly(500_000.0)}),
        (
            "irr_signs",
            {
                "setter_price": Range.exactly(10_000.0),
                "mask_cost": Range.exactly(50_000.0),
                "mask_life_molds": 250_000,
                "li_limit": 1.0,
            },
        ),
        ("", {}),
    ],
)
def test_rates_of_return_that_mislead_are_told(code, money):
    """Taking the setter down costs: two rates; losses only: none; masks bought again amid gains: one, signs told."""
    found = weigh(*parts(**money), draws=DRAWS)
    flow = [row.total for row in found.cash_flow]
    assert found.irr == pytest.approx(real_roots(flow), abs=1e-6)
    assert {each for each in told(found) if each.startswith("irr_")} == ({code} if code else set())
    if code == "irr_several":
        assert told(found)[code].blanks == {"count": 2}
    if code == "irr_signs":
        signs = np.sign(flow)
        assert told(found)[code].blanks == {"count": np.count_nonzero(signs[1:] != signs[:-1])}


def test_a_rate_beyond_all_sense_is_none():
    """1e-300 paid for 5 is a rate of e^692 and not looked for; 1e-200 paid for 5 still has its rate."""
    assert irr_roots([-1e-300, 5, 100]) == ()
    assert irr_roots([-1e-200, 5]) == pytest.approx((5e200,))


def test_scrap_that_the_counts_bear_enters_the_money():
    """60 of 5,000 against 25 of 5,000: the difference of the beta means, on 80,000 castings at 9 each, a year later."""
    case = exactly(counted(60, 25))
    found = weigh(case, *parts(case)[1:], draws=4_000)
    difference = 60.5 / 5_001 - 25.5 / 5_001
    assert found.chosen == ("HUB", "BOX") and "scrap_cannot_tell" not in told(found)
    unsold = weigh(exactly(counted(60, 25, line=FULL)), *parts(case)[1:], draws=4_000)
    assert unsold.cash_flow[1].parts["scrap"] == pytest.approx(difference * 80_000 * 9 * 1.02, rel=0.02)
    assert found.cash_flow[1].parts["scrap"] > unsold.cash_flow[1].parts["scrap"]


@pytest.mark.parametrize(("manual", "assisted", "words"), [(30, 25, "more castings of each"), (25, 25, "")])
def test_scrap_that_the_counts_do_not_bear_is_told_and_not_counted(manual, assisted, words):
    """30 against 25 says how many castings more; 25 against 25 that none seen would do, and no infinity in words."""
    case = counted(manual, assisted)
    found = weigh(case, *parts(case)[1:], draws=DRAWS)
    assert not any("scrap" in row.parts for row in found.cash_flow)
    text = note(told(found)["scrap_cannot_tell"])
    assert words in text and "BOX" in text and "inf" not in text.split()
    assert told(found)["scrap_cannot_tell"].blanks["more"] == findings(case)[0].more_castings


def test_equal_rates_are_never_told_apart():
    """The number of castings grows without end as the rates come together."""
    needed = [castings_needed(0.01, 0.01 + step) for step in (0.01, 0.001, 0.0001)]
    assert needed == sorted(needed) and castings_needed(0.01, 0.01) == np.inf


def test_a_class_that_the_table_lacks_is_refused():
    """Table A-1 of the half-year convention has classes of 3, 5, 7, 10, 15 and 20 years."""
    with pytest.raises(OutOfRange, match="class_years must be a class of Table A-1, got 4"):
        macrs(4)


def test_notes_of_a_sound_case_are_few():
    """Nothing is told of scrap, masks or tax where none was entered."""
    codes = set(told(weigh(*parts(plant()), draws=DRAWS)))
    assert not codes & {"scrap_cannot_tell", "masks_expensed", "ask_an_accountant", "injury_on", "limits_broken"}
