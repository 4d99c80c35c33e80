"""[garg2017] The Revised Strain Index, coefficients from memory: its branches meet, its scale is 1 at 8 hours."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coreset.bodywork.hand_work import (
    Hands,
    revised_exertion,
    revised_hours,
    revised_intensity,
    revised_rate,
    revised_strain_index,
    revised_wrist,
)

ABOVE = 1 + 1e-9


@pytest.mark.rules("RSI-DM", "RSI-EM", "RSI-HM", "RSI-IM")
def test_branches_meet():
    """[garg2017]: both branches give 5.0240 at 40 %, 22.600 and 22.598 at 90 a minute, 19.050 at 60 s."""
    assert revised_intensity(0.4) == pytest.approx(5.0240, abs=5e-5)
    assert revised_intensity(0.4 * ABOVE) == pytest.approx(5.0240, abs=5e-5)
    assert revised_rate(90) == pytest.approx(22.600, abs=5e-4)
    assert revised_rate(90 * ABOVE) == pytest.approx(22.598, abs=5e-4)
    assert revised_exertion(60) == pytest.approx(19.050, abs=5e-4)
    assert revised_exertion(60 * ABOVE) == pytest.approx(19.049, abs=5e-4)
    assert revised_hours(0.05) == 0.20
    assert revised_hours(0.05 * ABOVE) == pytest.approx(0.2095, abs=5e-5)


@pytest.mark.rules("RSI-limit")
def test_scale():
    """[garg2017]: a neutral wrist and 8 hours count 1."""
    assert revised_wrist(0) == pytest.approx(1.0)
    assert revised_wrist(-30) == 1.0
    assert revised_hours(8) == pytest.approx(1.0001, abs=5e-5)


@pytest.mark.rules("RSI-PM")
def test_the_wrist_and_the_effort_by_hand():
    """[garg2017]: 50 degrees back 1 + 0.00028 x 20^2, 50 forward 1.2 e^0.45 - 0.2; 3 of 10 by Borg."""
    assert revised_wrist(-50) == pytest.approx(1.112)
    assert revised_wrist(50) == pytest.approx(1.6820, abs=5e-5)
    found = revised_strain_index(Hands(effort_borg=3, efforts_per_min=10, exertion_s=1, wrist_deg=-50, hours=8))
    assert found.multipliers["intensity"] == pytest.approx(30 * 0.027 - 15.6 * 0.09 + 13 * 0.3 + 0.4)
    assert found.multipliers["wrist"] == pytest.approx(1.112)


@given(
    borg=st.floats(0, 9),
    rate=st.floats(1, 20),
    seconds=st.floats(0.1, 2),
    wrist=st.floats(0, 80),
    hours=st.floats(0.1, 9),
    more=st.floats(0, 1),
)
def test_more_of_anything_bad_never_lowers_it(borg, rate, seconds, wrist, hours, more):
    """More effort, rate, length, bend or hours never lowers the index."""
    usual = {"effort_borg": borg, "efforts_per_min": rate, "exertion_s": seconds, "wrist_deg": wrist, "hours": hours}
    base = revised_strain_index(Hands(**usual)).index
    for name, value in usual.items():
        assert revised_strain_index(Hands(**usual | {name: value + more})).index >= base - 1e-9
