"""Handling: the equation and what stands on it, on the borders of its limits and of its tables."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from handling_cases import case, lift, standard
from test_handling_refusals import ROW
from test_handling_smallest import task

from coreset.bodywork.heat import niosh_limit
from coreset.case import Core
from coreset.errors import OutOfRange
from coreset.lifting.apply_change import kept
from coreset.lifting.bands import band_of, bands
from coreset.lifting.by_hand import by_hand
from coreset.lifting.controls import moved, whole_measures
from coreset.lifting.equation import asymmetry_multiplier, codes, frequency_multiplier
from coreset.lifting.job import crossings, job_of
from coreset.lifting.lift_end import Posture, rate
from coreset.lifting.lift_table import answers, inside_body, variable_of_rows
from coreset.lifting.screen import screen, standard_seconds
from coreset.lifting.task_values import below_floor, index_of, linked, task_at
from coreset.lifting.variable_grid import gathered

HAIR = 1e-9
BORDERS = {
    "metric": ((20, 25, 63, 63 + HAIR), (0, 75 - HAIR, 75, 175, 175 + HAIR)),
    "us": ((8, 10, 25, 25 + HAIR), (0, 30 - HAIR, 30, 70, 70 + HAIR)),
}
PACES = (0, 0.2, 0.5, 1, 1.5, 8, 8.5, 9, 10, 10.5, 11, 12, 12 + HAIR, 13, 14.5, 15, 15 + HAIR, 20)


def equation(h, v, d, a, f, duration, coupling, units, begins=None):
    """[waters1994] section 1.3 for one end: RWL in the unit set's mass; FM by V at the origin, CM by V of the end."""
    lc, near, far, ref, slope, high, k = {
        "metric": (23, 25, 63, 75, 0.003, 175, 4.5), "us": (51, 10, 25, 30, 0.0075, 70, 1.8)
    }[units]  # fmt: skip
    if h > far or v > high or d > high or a > 135:
        return 0.0
    fm = float(frequency_multiplier(f, duration, v if begins is None else begins, units=units))
    cm = {"good": 1.0, "fair": 1.0 if v >= ref else 0.95, "poor": 0.9}[coupling]
    return (
        lc * near / max(h, near) * (1 - slope * abs(v - ref)) * (0.82 + k / max(d, near)) * (1 - 0.0032 * a) * fm * cm
    )


@pytest.mark.rules("N-a-limits", "N-f-max", "N-h-max", "N-h-min", "N-v-limits")
@pytest.mark.parametrize("units", ["metric", "us"])
def test_many_lifts_on_every_border_of_the_equation(units):
    """Every limit of H, V, A and of Table 5, in and a hair out: both ends of each lift as the equation has them."""
    reaches, heights = BORDERS[units]
    rows = list(itertools.product(reaches, heights, (0, 135, 135 + HAIR, 180), (0.2, 8.5), ("short", "long")))
    rows += [(reaches[1], v, 0, f, d) for v in heights[:3] for f in PACES for d in ("short", "moderate", "long")]
    h, v, a, f, duration = (np.array(column) for column in zip(*rows, strict=True))
    other = np.full(len(h), float(heights[2]))
    travel = np.abs(v - other)
    origin = [equation(*row, "fair", units, row[1]) for row in zip(h, v, travel, a, f, duration, strict=True)]
    there = [
        equation(reaches[0], other[0], *row, "fair", units, begins)
        for *row, begins in zip(travel, 0 * a, f, duration, v, strict=True)
    ]
    shared = {"vertical_at_origin": v, "travel": travel, "frequency_per_min": f, "duration": duration, "units": units}
    shared["coupling"] = "fair"
    assert rate(Posture(horizontal=h, vertical=v, angle_deg=a, **shared)).rwl == pytest.approx(origin)
    assert rate(Posture(horizontal=float(reaches[0]), vertical=other, **shared)).rwl == pytest.approx(there)


@pytest.mark.rules("N-d-max")
@pytest.mark.parametrize(("units", "highest"), [("metric", 175.0), ("us", 70.0)])
def test_the_longest_travel_is_still_a_lift(units, highest):
    """[waters1994] section 1.3: DM is 0 where D is greater than 175 cm or 70 in, not on it."""
    heights = np.array([highest, 0.0])
    found = rate(
        Posture(
            horizontal=25.0, vertical=heights, vertical_at_origin=highest, travel=highest, frequency_per_min=0.2,
            duration="short", coupling="good", units=units,
        )
    )  # fmt: skip
    expected = [equation(25.0, v, highest, 0, 0.2, "short", "good", units) for v in heights]
    assert found.rwl == pytest.approx(expected) and min(expected) > 0


def test_a_half_turn_is_the_widest_twist():
    """Nothing is lifted at 180 degrees; beyond them there is no twist, nor is there a hold of another name."""
    assert asymmetry_multiplier(180) == 0
    with pytest.raises(OutOfRange, match="got 180.5"):
        asymmetry_multiplier([180, 180.5])
    with pytest.raises(OutOfRange, match="got 'firm'"):
        codes(["good", "fair", "firm"], ("good", "fair", "poor"), "coupling")


@pytest.mark.rules("N-formula")
def test_a_posture_apart_from_the_pace_has_five_multipliers():
    """[waters1994]: HM 25/50, VM 0.85, DM 0.82 + 4.5/55, AM 0.84, CM 0.95 below 75 cm; long, one a minute 0.75."""
    end = rate(
        Posture(
            horizontal=50, vertical=25, travel=55, angle_deg=50, frequency_per_min=1, duration="long", coupling="fair"
        )
    )
    five = 0.5 * 0.85 * (0.82 + 4.5 / 55) * 0.84 * 0.95
    assert end.independent == pytest.approx(five) and end.rwl == pytest.approx(23 * five * 0.75)


def test_hand_arithmetic_beyond_the_last_row_of_a_table():
    """[waters1994] Table 1 ends at 63 cm with .40; beyond it the formula's 0, between rows the formula rounded."""
    assert by_hand("hm", [25 / 63, 0.0, 25 / 62.5], [63, 70, 62.5], "metric").tolist() == [0.4, 0.0, 0.4]


def test_bands_begin_at_zero():
    """An index of 0 lies in the best band, which begins at 0; a negative one in none."""
    for scheme in ("1994", "2021"):
        assert bands(scheme)[0].above == 0 and band_of(0.0, scheme).place == 0
        with pytest.raises(OutOfRange, match="from zero"):
            band_of(-HAIR, scheme)


def test_heights_down_to_the_floor_and_travel_down_to_none():
    """A platform as high as the place leaves it on the floor, VM 1 - 0.003 x 75; D does not fall below 0."""
    one = task(mass=10.0)
    assert index_of(one, platform=20.0) == pytest.approx(10 / (23 * 0.775)) and not below_floor(
        moved(one, {"platform": 20.0}, "good")
    )
    assert index_of(one, platform=19.5) == pytest.approx(10 / (23 * (1 - 0.003 * 74.5)))
    assert math.isinf(index_of(one, platform=20 + 1e-6)) and below_floor(moved(one, {"platform": 20 + 1e-6}, "good"))
    entered = replace(one, travel=5.0)
    assert linked(entered)["travel"] == 5 and linked(entered, vertical_origin=30.0)["travel"] == 0


def test_a_limit_below_a_kilogram_is_a_limit():
    """[waters1994]: HM 25/63, VM 0.7 at 175 cm, FM 0.13 at ten a minute, long: RWL is 0.83 kg, also for two persons."""
    high = {"height": 175.0, "vertical_destination": 175.0, "horizontal_origin": 63.0, "frequency_per_min": 10.0}
    one = replace(task(mass=10.0, **high), duration="long")
    assert index_of(one) == pytest.approx(10 / (23 * 25 / 63 * 0.7 * 0.13))
    assert "two_persons" in {row.code for row in whole_measures(one, lift())}


def test_the_depth_of_a_place_is_what_lies_beyond_the_body():
    """25.5 cm from the ankles is half a centimetre behind the nearest that counts (25 cm, 10 in); nearer, 0."""
    for units, reach, depth in (("metric", 25.5, 0.5), ("metric", 20.0, 0.0), ("us", 10.5, 0.5)):
        one = lift(horizontal_destination=reach)
        a_case = case(one, units=units)
        assert task_at(a_case, one, screen(a_case, [standard(60)])[0]).depth == depth


def test_rows_at_the_edge_of_what_was_read():
    """[waters1994] Table 5: reprinted also above ten a minute; H of 25 cm is not inside the body."""
    rows = [{**ROW, "frequency": f} for f in (10.0, 10.0 + HAIR)]
    assert [answer.status for answer in answers(rows)] == ["reprinted", "reprinted"]
    assert not inside_body(25.0, "metric") and inside_body(25.0 - HAIR, "metric")
    assert not inside_body(10.0, "us") and inside_body(10.0 - HAIR, "us")
    assert variable_of_rows([{**ROW, "hoist": True}], 1.0).cells == 0
    with pytest.raises(OutOfRange, match="above zero"):
        variable_of_rows([ROW], math.nan)


def test_a_cell_of_the_grid_by_hand():
    """Two loads of 4 and 5 kg at 30 and 36 cm, 60 and 110 cm, once and three times: means by weight, then the equation.

    Mean load 4.75; mean distance from 75 cm (15 + 3 x 35)/4 = 30; mean H (30 + 3 x 36)/4 = 34.5; no other reduction.
    One lift of 24 kg far away makes both loads fall into the lowest fifth.
    """
    h, v = np.array([30.0, 36.0, 60.0]), np.array([60.0, 110.0, 75.0])
    limit = 23 * 25 / h * (1 - 0.003 * np.abs(v - 75))
    found = gathered(mass=[4, 5, 24], horizontal=h, vertical=v, limit=limit, weight=[1, 3, 2])
    assert found.weight.tolist() == [4, 2] and found.vertical_origin.tolist() == [60, 75]
    assert found.fili == pytest.approx([4.75 / (23 * 25 / 34.5 * (1 - 0.09)), 24 / (23 * 25 / 60)])
    never = gathered(mass=[4, 5, 24], horizontal=h, vertical=v, limit=limit, weight=[0, 3, 2])
    assert never.vertical_origin.tolist() == [110, 75]


def test_fifths_of_the_loads():
    """0 to 25 kg in five parts of 5: 4.9 and 5 kg fall apart, 20 and 25 kg together; the last part holds its end."""
    mass = np.array([0.1, 5.0, 5.1, 10.2, 20.2, 25.1])
    found = gathered(mass=mass, horizontal=[25] * 6, vertical=[75] * 6, limit=[23] * 6, weight=[1] * 6)
    assert found.weight.tolist() == [1 + 1, 1, 1, 2]
    assert found.fili == pytest.approx(np.array([2.55, 5.1, 10.2, 22.65]) / 23)


@pytest.mark.rules("HEAT-limits")
def test_heat_limits_of_the_lightest_work():
    """[niosh2016]: 56.7 - 11.5 log10 M for any rate above zero; at zero there is none."""
    assert niosh_limit(0.5, acclimatized=True).wbgt_c == pytest.approx(56.7 - 11.5 * math.log10(0.5))
    with pytest.raises(OutOfRange, match="above zero"):
        niosh_limit(0.0, acclimatized=True)


@pytest.mark.rules("N-f-low")
def test_a_level_that_is_only_reached_is_not_passed():
    """23 kg at best, short: LI is 1 up to 0.2 a minute [waters1994] Table 5, so 12 an hour pass it."""
    best = {"horizontal_origin": 25.0, "vertical_origin": 75.0, "horizontal_destination": 25.0,
            "vertical_destination": 75.0, "coupling": "good", "duration": "short"}  # fmt: skip
    found = crossings(job_of(case(lift(mass=23.0, **best)), pattern="P1", method="manual"), (1.0, 1 / 0.88))
    assert [one.kind for one in found] == ["crosses", "crosses"]
    assert [one.molds_per_h for one in found] == pytest.approx([12, 180], abs=1e-6)


@pytest.mark.rules("BAND-fine", "N-l-goal", "N-l-three")
def test_the_levels_of_a_crossing_are_the_limits_of_the_bands():
    """[waters1994] 1 and 3, [fox2019] 1.5 and 2 besides: what a pace passes is what the bands begin at."""
    limits = {band.to for scheme in ("1994", "2021") for band in bands(scheme)} - {math.inf}
    assert [one.level for one in crossings(job_of(case(lift()), pattern="P1", method="manual"))] == sorted(limits)


def test_standards_without_cycles_count_alike():
    """Two estimates of 30 and 40 s are 35 s; with 10 and 30 cycles they are 37.5 s (arithmetic)."""
    pair = ("P1", "manual")
    assert standard_seconds([standard(30, cycles=0), standard(40, cycles=0)])[pair] == 35
    assert standard_seconds([standard(30, cycles=10), standard(40, cycles=30)])[pair] == pytest.approx(37.5)


def test_a_load_that_was_changed_stays_within_its_core():
    """Tasks of the same core take the new load; a task with a load of its own and one of another core stay."""
    one, own, far = lift(), lift(task="own", mass=6.0, mass_max=7.0), lift(task="far", core="C2", mass_max=9.0)
    a_case = replace(
        case(one, own, far), cores=(Core(pattern="P1", core="C1", mass=10.0), Core(pattern="P1", core="C2", mass=8.0))
    )
    before = task_at(a_case, one, screen(a_case, [standard(60.0)])[0])
    changed = kept(a_case, one, before, moved(before, {"mass": 12.0}, "poor"), reason="tried")
    assert changed.lifts[1:] == (own, far) and [core.mass for core in changed.cores] == [12.0, 8.0]
    assert changed.lifts[0].travel == 0
