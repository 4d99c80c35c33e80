"""[moore1995] The Strain Index: products of multipliers, edges of the ratings."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed import as_printed, conformance, rows

from coreset.bodywork.hand_work import Hands, intensity_multiplier, strain_index, wrist_multiplier
from coreset.errors import OutOfRange
from coreset.sources import table

BORG = {"1": 1, "3": 3, "6": 5, "9": 7, "13": 9}
SHARE_PCT = {"0.5": 5, "1.0": 20, "1.5": 40, "2": 60, "2.0": 60, "3": 90, "3.0": 90}
RATE = {"0.5": 2, "1": 6, "1.0": 6, "1.5": 12, "2": 17, "2.0": 17, "3.0": 25}
WRIST = {"1": 0, "1.5": 20, "2.0": 40, "3.0": 60}


@pytest.mark.rules("SI-product")
@pytest.mark.parametrize("row", conformance("strain_index"))
def test_products(row):
    """[moore1995]: 9 x 3 x 2 = 54, 1 x 3 x 2 = 6, 3 x 3 x 2 = 18 reprinted; the demonstration 13.5 from memory."""
    rate = RATE[row.em]
    hands = Hands(
        effort_borg=BORG[row.ie],
        efforts_per_min=rate,
        exertion_s=SHARE_PCT[row.de] / 100 * 60 / rate,
        wrist_deg=WRIST[row.hwp],
        hours=8.0,
    )
    assert strain_index(hands).index == as_printed(row.si)


@pytest.mark.rules("SI-ratings")
@pytest.mark.parametrize("row", rows("moore1995/ratings"))
def test_multiplier_of_every_rating(row):
    """[moore1995]: each rating has its printed multiplier, reached from a value inside it."""
    inside = float(row.upper or 0) if row.variable in {"IE", "HWP"} else (float(row.lower or 0) + _upper(row)) / 2
    usual = {"effort_borg": 1.0, "efforts_per_min": 6.0, "exertion_s": 2.0, "wrist_deg": 0.0, "hours": 6.0}
    if row.variable == "HWP":
        found = wrist_multiplier({"1": 0, "2": 10, "3": 20, "4": 40, "5": 60}[row.rating])
        assert found == wrist_multiplier(-{"1": 0, "2": 20, "3": 30, "4": 45, "5": 60}[row.rating])
    elif row.variable == "IE":
        found = intensity_multiplier(inside)
    else:
        key = {"DE": "exertion_s", "EM": "efforts_per_min", "SW": "speed_pct", "DD": "hours"}[row.variable]
        name = {"DE": "exertion", "EM": "rate", "SW": "speed", "DD": "hours"}[row.variable]
        given = inside / 100 * 60 / 6 if row.variable == "DE" else inside
        found = strain_index(Hands(**usual | {key: given})).multipliers[name]
    assert found == as_printed(row.multiplier)


def _upper(row):
    return float(row.upper) if row.upper else float(row.lower) + 4


@pytest.mark.rules("SI-ratings")
def test_no_value_falls_between_two_ratings():
    """The printed categories leave gaps (29-30 %, 8-9 a minute): intervals are half open, so each value has one."""
    for rate, multiplier in ((8.5, 1.0), (9, 1.5), (14.9, 1.5), (15, 2.0)):
        assert strain_index(Hands(effort_borg=1, efforts_per_min=rate, exertion_s=1)).multipliers["rate"] == multiplier
    for share, multiplier in ((29.5, 1.0), (30, 1.5), (79.9, 2.0), (80, 3.0)):
        hands = Hands(effort_borg=1, efforts_per_min=6, exertion_s=share / 10)
        assert strain_index(hands).multipliers["exertion"] == multiplier
    assert strain_index(Hands(effort_borg=1, efforts_per_min=6, exertion_s=1, hours=8)).multipliers["hours"] == 1.0
    assert strain_index(Hands(effort_borg=1, efforts_per_min=6, exertion_s=1, hours=8.1)).multipliers["hours"] == 1.5


@pytest.mark.rules("SI-static")
@pytest.mark.unverified
def test_efforts_without_pause_count_as_the_highest_rate():
    """[moore1995], from memory: at 100 % duration of exertion the multiplier for the rate is 3."""
    found = strain_index(Hands(effort_borg=1, efforts_per_min=2, exertion_s=30))
    assert found.multipliers["rate"] == 3.0 and found.status == "memory"


@pytest.mark.rules("SI-cut")
def test_bands_are_the_sheets_and_the_papers():
    """[moore1995]: 3 and 7 by a university sheet and 5 by the paper, all reprinted."""
    found = {(row["scheme"], row["to"]): row["status"] for row in table("moore1995/bands").rows}
    assert found["sheet", "3"] == found["sheet", "7"] == found["paper", "5"] == "reprinted"


def test_what_cannot_be_is_refused():
    """An effort outside the scale, or more effort than there is time."""
    with pytest.raises(OutOfRange, match="effort must be 0 to 10"):
        strain_index(Hands(effort_borg=11, efforts_per_min=2, exertion_s=1))
    with pytest.raises(OutOfRange, match="efforts must fit into their time, got 150 %"):
        strain_index(Hands(effort_borg=1, efforts_per_min=30, exertion_s=3))
    with pytest.raises(OutOfRange, match="wrist angle must be within 90"):
        strain_index(Hands(effort_borg=1, efforts_per_min=3, exertion_s=3, wrist_deg=math.pi * 60))


@given(
    borg=st.floats(0, 9),
    rate=st.floats(1, 20),
    seconds=st.floats(0.1, 1.9),
    wrist=st.floats(0, 80),
    hours=st.floats(0.1, 9),
    more=st.floats(0, 1),
)
def test_more_of_anything_bad_never_lowers_it(borg, rate, seconds, wrist, hours, more):
    """Common practice, no source: more effort, rate, length, bend, speed or hours never lowers the index."""
    usual = {"effort_borg": borg, "efforts_per_min": rate, "exertion_s": seconds, "wrist_deg": wrist, "hours": hours}
    base = strain_index(Hands(**usual)).index
    for name, value in (usual | {"speed_pct": 100.0}).items():
        assert strain_index(Hands(**usual | {name: value + more})).index >= base - 1e-9, name
