"""Energy and rest: [acgih1992], [waters1993], [garg1978], [murrell1965], [bernard2006] and two worked items."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed import as_printed, rows

from coreset.bodywork.energy import (
    Vertical,
    component_kcal_per_min,
    endurance_min,
    energy_limit_kcal_per_min,
    murrell_rest_min,
    rest_share,
    standing_kcal_per_min,
    vertical_kcal,
)
from coreset.bodywork.static_hold import static_rest_share
from coreset.errors import OutOfRange
from coreset.sources import table

NOT_THE_ROUNDED_PRODUCT = {("low", "short"), ("low", "moderate")}
"""4.75 is printed 4.7 and 3.80 is printed 3.7."""


@pytest.mark.rules("ENERGY-components")
def test_components():
    """[acgih1992]: walking 2.0, work 3.0 and basal 1.0 are 6.0 kcal/min, 360 an hour."""
    assert component_kcal_per_min("", "", walking_kcal_per_min=5.0) == 6.0
    assert component_kcal_per_min("standing", "one arm light") == pytest.approx(0.6 + 1.0 + 1.0)
    with pytest.raises(OutOfRange, match="component must be a row"):
        component_kcal_per_min("standing", "juggling")


@pytest.mark.rules("ENERGY-arms", "ENERGY-share")
@pytest.mark.parametrize("row", rows("waters1993/energy_limits"))
def test_energy_limits(row):
    """[waters1993], printed digits from memory: four of six are the rounded product, the two others are named."""
    found = energy_limit_kcal_per_min(row.duration, 50 if row.zone == "low" else 75)
    if (row.zone, row.duration) in NOT_THE_ROUNDED_PRODUCT:
        assert found != as_printed(row.kcal_per_min) or found == pytest.approx(4.75)
    else:
        assert found == as_printed(row.kcal_per_min)
    assert found == pytest.approx(9.5 * float(row.share) * (0.7 if row.zone == "high" else 1))


@pytest.mark.rules("ENERGY-lifts")
def test_lifting_terms_against_an_exercise():
    """[garg1978]: an exercise of 20 kg lifted 0.81 m gives 18.63 (squat) and 13.14 (stoop) kcal/min.

    Its body mass is not stated; with 100 kg the terms come within 3 %, which supports them but proves nothing.
    """
    for style, seconds, printed in (("squat", 3.19, 18.629), ("stoop", 3.53, 13.139)):
        move = Vertical(load_kg=20, low_m=0, high_m=0.81, style=style, body_kg=100)
        found = standing_kcal_per_min(100) + vertical_kcal(move) * 60 / seconds
        assert found == pytest.approx(printed, rel=0.03)


@pytest.mark.rules("ENERGY-lifts")
@pytest.mark.parametrize(
    ("what", "kcal"),
    [
        ({"style": "stoop"}, 0.325 * 70 * 0.61 + (1.41 + 0.76) * 10 * 0.4),
        ({"style": "squat", "men": False}, 0.514 * 70 * 0.61 + 2.19 * 10 * 0.4),
        ({"style": "stoop", "lowering": True}, 0.268 * 70 * 0.61 + 0.675 * 10 * 0.4 + 5.22 * 0.61),
        ({"style": "arm", "low_m": 0.9, "high_m": 1.4}, 0.062 * 70 * 0.59 + (3.19 - 0.52) * 10 * 0.5),
        ({"style": "arm", "low_m": 0.9, "high_m": 1.4, "lowering": True},
         0.093 * 70 * 0.59 + (1.02 + 0.37) * 10 * 0.5),
    ],
)  # fmt: skip
def test_lifting_terms_by_hand(what, kcal):
    """[garg1978]: 10 kg by a man of 70 kg between 0.2 and 0.6 m, and by arm from 0.9 to 1.4 m."""
    usual = {"load_kg": 10, "low_m": 0.2, "high_m": 0.6, "body_kg": 70, "men": True}
    assert vertical_kcal(Vertical(**usual | what)) == pytest.approx(kcal / 100)


@given(load=st.floats(0, 30), more=st.floats(0, 10), style=st.sampled_from(["stoop", "squat", "arm"]))
def test_a_heavier_load_never_takes_less_energy(load, more, style):
    """[garg1978]: energy grows with the load, lifting or lowering."""
    low, high = (0.81, 1.4) if style == "arm" else (0.1, 0.81)
    for lowering in (False, True):
        lighter = Vertical(load_kg=load, low_m=low, high_m=high, style=style, lowering=lowering)
        heavier = Vertical(load_kg=load + more, low_m=low, high_m=high, style=style, lowering=lowering)
        assert vertical_kcal(heavier) >= vertical_kcal(lighter) > 0


def test_energy_refusals():
    """Heights upside down and unknown styles are refused."""
    with pytest.raises(OutOfRange, match="high_m must be at least low_m"):
        vertical_kcal(Vertical(load_kg=1, low_m=1, high_m=0.5))
    with pytest.raises(OutOfRange, match="style must be one of"):
        vertical_kcal(Vertical(load_kg=1, low_m=0, high_m=0.5, style="leap"))
    with pytest.raises(OutOfRange, match="duration must be short"):
        energy_limit_kcal_per_min("day", 50)


@pytest.mark.rules("REST-energy")
def test_murrell_balances_over_the_total_time():
    """[murrell1965]: R = T (W - 5)/(W - 1.5); T is the total, for the mean over it is then 5."""
    rest = murrell_rest_min(7.5, 480)
    assert rest == pytest.approx(200)
    assert ((480 - rest) * 7.5 + rest * 1.5) / 480 == pytest.approx(5)
    assert murrell_rest_min(4.9, 480) == 0
    as_work_time = 480 * (7.5 - 5) / (7.5 - 1.5)
    assert (480 * 7.5 + as_work_time * 1.5) / (480 + as_work_time) > 5


@pytest.mark.parametrize("row", rows("rest_time_item/example"))
def test_rest_in_watts(row):
    """[rest_time_item]: 600 W, 350 W allowed, 100 W at rest, 60 min: 30 min; it balances only over the total time."""
    share = rest_share(float(row.task_w), limit=float(row.limit_w), rest=float(row.rest_w))
    assert share * float(row.time_min) == as_printed(row.rest_min)
    assert (1 - share) * float(row.task_w) + share * float(row.rest_w) == pytest.approx(float(row.limit_w))


@pytest.mark.parametrize("row", rows("hertig_item/example"))
def test_rest_after_hertig(row):
    """[hertig_item]: capacity 15, so 5 allowed; task 6.5, rest 1.5: 18 of 60 minutes."""
    share = rest_share(
        float(row.task_kcal_per_min), limit=float(row.capacity_kcal_per_min) / 3, rest=float(row.rest_kcal_per_min)
    )
    assert share * 60 == as_printed(row.rest_min_per_h)
    assert (1 - share) * 60 == as_printed(row.work_min_per_h)


@pytest.mark.rules("HOLD-rest")
@pytest.mark.unverified
def test_rest_after_static_holding():
    """[rohmert1960] (memory): 18 (t/T)^1.4 (f - 0.15)^0.5, redone by hand; it grows with force and with time."""
    found = {row["name"]: float(row["value"]) for row in table("rohmert1960/rest").rows}
    assert found == {"factor": 18, "power_time": 1.4, "least": 0.15, "power_force": 0.5}
    endurance = -1.5 + 2.1 / 0.4 - 0.6 / 0.16 + 0.1 / 0.064
    assert static_rest_share(0.5, 0.4) == pytest.approx(18 * (0.5 / endurance) ** 1.4 * 0.25**0.5)
    assert static_rest_share(0.5, 0.4) < static_rest_share(0.6, 0.4) < static_rest_share(0.6, 0.5)


@pytest.mark.rules("HOLD-endurance")
def test_static_endurance():
    """[bernard2006]: the curve runs from 6.5 min at 20 % to 0.1 min at full strength; below 20 % it is refused.

    A second published form, 1.2/(f - 0.15)^0.618 - 1.21 (memory), agrees within 0.13 min.
    """
    for percent in range(20, 101, 5):
        f = percent / 100
        assert endurance_min(f) == pytest.approx(1.2 / (f - 0.15) ** 0.618 - 1.21, abs=0.131)
    with pytest.raises(OutOfRange, match=r"share of strength must be 0\.20 to 1"):
        endurance_min(0.1)
