"""Handling: platform and tilt of the mask move several values at once; what is changed is kept, with its trail."""

import math
from dataclasses import replace

import numpy as np
import pytest
from handling_cases import case, lift, standard
from hypothesis import given
from hypothesis import strategies as st

from coreset.case import Core
from coreset.lifting.apply_change import kept
from coreset.lifting.controls import about, moved
from coreset.lifting.lever_ranges import grid, highest_platform, usual_ranges
from coreset.lifting.redesign import smallest_changes
from coreset.lifting.report import redesign as words
from coreset.lifting.report.lever_working import working_of_levers
from coreset.lifting.screen import screen
from coreset.lifting.task_values import below_floor, index_of, linked, task_at

SECONDS = 60.0


def task(**what):
    """A task at the pace of its standard."""
    a_lift = lift(**what)
    a_case = case(a_lift)
    return task_at(a_case, a_lift, screen(a_case, [standard(SECONDS)])[0])


@pytest.mark.rules("N-r-vm")
def test_a_platform_lowers_both_heights_and_leaves_the_travel():
    """Arithmetic: 90 and 70 cm over a platform of 20 cm are 70 and 50 cm; D stays 20 cm."""
    v = linked(task(), platform=20.0)
    assert (v["vertical_origin"], v["vertical_destination"], v["travel"]) == (70.0, 50.0, 20.0)
    assert v["horizontal_destination"] == 50.0


def test_a_tilt_brings_the_place_nearer_and_higher():
    """Plane geometry: r 25 cm behind the edge, 60 degrees: H 50 - 25 (1 - 0.5), V 70 + 25 sin 60, D from there."""
    v = linked(task(), mask_tilt_deg=60.0)
    assert v["horizontal_destination"] == pytest.approx(37.5)
    assert v["vertical_destination"] == pytest.approx(70 + 25 * math.sqrt(3) / 2)
    assert v["travel"] == pytest.approx(abs(70 + 25 * math.sqrt(3) / 2 - 90))
    deeper = linked(about(task(), 100.0), mask_tilt_deg=60.0)
    assert deeper["horizontal_destination"] == 25.0  # not closer than the body
    assert linked(task(horizontal_destination=22.0), mask_tilt_deg=45.0)["horizontal_destination"] == 22.0


@given(st.floats(10, 70), st.floats(0, 45), st.floats(0, 60))
def test_tilting_keeps_the_distance_to_the_edge(h, tilt, depth):
    """The place turns about the edge: its distance from the edge stays r, unless the body stops it."""
    v = linked(about(task(horizontal_destination=h), depth), mask_tilt_deg=tilt)
    across, up = v["horizontal_destination"] - (h - depth), v["vertical_destination"] - 70.0
    if v["horizontal_destination"] > 25:
        assert math.hypot(across, up) == pytest.approx(depth, abs=1e-9)


def test_an_entered_travel_keeps_what_it_has_over_the_heights():
    """Lifted over an edge: D 50 where the heights differ by 20; 10 cm less difference, 10 cm less D."""
    over = task(travel=50.0)
    assert linked(over)["travel"] == 50.0
    assert linked(over, vertical_destination=80.0)["travel"] == 40.0


def test_a_platform_above_the_load_is_no_way_out():
    """Hands do not go below the operator's own floor: no index there, and the words say why."""
    one = task(vertical_destination=15.0)
    assert index_of(one, platform=np.array([10.0, 16.0])).tolist()[1] == math.inf
    assert highest_platform(one) == 15.0
    high = moved(one, {"platform": 30.0}, "poor")
    assert below_floor(high) and "platform is higher" in words.live_sentence(math.inf, 1.0, "", below=True)
    assert working_of_levers(high) == []


def test_tilt_and_platform_alone_can_be_the_answer():
    """A far place at a good height is corrected by tilt alone, high places by a platform alone; each reaches 1."""
    far = task(horizontal_destination=55.0, vertical_destination=60.0, mass=8.0)
    high = task(vertical_origin=160.0, vertical_destination=150.0, horizontal_destination=35.0, mass=9.0)
    for one, name in ((far, "mask_tilt_deg"), (high, "platform")):
        assert index_of(one) > 1
        (after,) = smallest_changes(about(one, 40.0), {name: grid(name, one, usual_ranges(one)[name])}, target=1.0)
        assert set(after) == {name} and index_of(about(one, 40.0), **after) <= 1


def test_the_working_of_platform_and_tilt_can_be_redone():
    """The figures put in give the values shown; without either there is nothing to show."""
    now = moved(task(), {"platform": 12.0, "mask_tilt_deg": 30.0}, "poor")
    lines = {line.symbol: line for line in working_of_levers(now)}
    assert lines["V1"].numbers == "90 - 12" and lines["V1"].value == 78
    assert lines["V2"].numbers == "70 + 25 × sin 30° - 12" and lines["V2"].value == pytest.approx(70.5)
    assert lines["H2"].numbers == "50 - 25 × (1 - cos 30°)" and lines["H2"].value == pytest.approx(46.651, abs=1e-3)
    assert lines["D"].numbers == "|70.5 - 78|" and lines["D"].value == pytest.approx(7.5)
    assert working_of_levers(task()) == []


def after(a_case, one, values, coupling="poor", index=0):
    """The case with its lift changed, screened again; and the trail's words."""
    before = task_at(a_case, one, screen(a_case, [standard(SECONDS)])[index])
    now = moved(before, values, coupling)
    changed = kept(a_case, one, before, now, reason="tried on the floor")
    return changed, float(index_of(now)), words.kept_text(one.task, before, now, "tried on the floor")


def test_what_is_kept_has_the_index_that_was_shown():
    """Reach, platform, tilt, hold, pace and load: the case screened again gives the index of the sliders."""
    one = lift(travel=40.0)
    values = {"horizontal_origin": 30.0, "platform": 10.0, "mask_tilt_deg": 20.0, "frequency_per_min": 2.5, "mass": 7.0}
    changed, shown, text = after(case(one, lift(task="other")), one, values, "fair")
    assert screen(changed, [standard(SECONDS)])[0].li == pytest.approx(shown, rel=1e-4)
    first, other = changed.lifts
    assert (first.frequency_per_min, first.frequency_reason) == (2.5, "tried on the floor")
    assert first.vertical_origin == 80.0 and first.coupling == "fair" and other == lift(task="other")
    for part in ("Frequency, F from 1 to 2.5 lifts/min", "Load, L from 10 to 7 kg", "Grip from poor to fair"):
        assert part in text
    assert text.startswith("set core: ") and text.endswith("tried on the floor")


def test_a_pace_that_was_not_changed_still_follows_the_standard():
    """No override appears by itself."""
    one = lift()
    changed, _, text = after(case(one), one, {"horizontal_origin": 30.0})
    assert changed.lifts[0].frequency_per_min == 0.0 and changed.lifts[0].frequency_reason == ""
    assert changed.cores == case(one).cores and "nothing changed" not in text


def test_a_load_is_the_cores_in_every_task_or_the_tasks_own():
    """From the core: the core changes, also for its other tasks, largest loads follow; own load: only that task."""
    one, other = lift(), lift(task="other", mass_max=11.0)
    changed, _, _ = after(case(one, other), one, {"mass": 12.0})
    assert changed.cores == (Core(pattern="P1", core="C1", mass=12.0),)
    assert changed.lifts[0].mass == 0 and changed.lifts[1].mass_max == 12.0
    own = lift(mass=8.0)
    changed, _, _ = after(case(own, other), own, {"mass": 6.0})
    assert changed.lifts[0].mass == 6.0 and changed.cores == case(own).cores and changed.lifts[1] == other


def test_the_index_never_falls_by_moving_the_place_deeper():
    """Common practice, no source: under one tilt a place further from the body is never easier."""
    reaches = np.linspace(30, 60, 50)
    found = index_of(replace(task(), depth=0.0), horizontal_destination=reaches, mask_tilt_deg=20.0)
    assert (np.diff(found) >= -1e-12).all()
