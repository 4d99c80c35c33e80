"""Handling: changes of a lift that a plant can build, with the margin that measuring errors and variation demand."""

from dataclasses import replace

import numpy as np
import pytest
from handling_cases import case, lift, standard
from hypothesis import given, settings
from hypothesis import strategies as st

from coreset.case import Core
from coreset.lifting.buildable import core_box, high_index, redesign_of
from coreset.lifting.controls import whole_measures
from coreset.lifting.lever_ranges import allowed, grid
from coreset.lifting.lift_end import Posture, rate
from coreset.lifting.report.redesign import core_box_sentence, redesign_sentence, room_sentence
from coreset.lifting.screen import screen
from coreset.lifting.task_values import index_of, task_at
from coreset.lifting.uncertainty import sureness, with_errors


def lift_and_task(depth_cm=0.0, *, mass=10.0, seconds=60.0, **what):
    """A lift with errors of measurement, its task at the pace of its standard, and its screened row."""
    one, _ = with_errors(lift(**what), units="metric")
    a_case = case(one, mass=mass)
    if depth_cm:
        a_case = replace(a_case, cores=(Core(pattern="P1", core="C1", mass=mass, width=10.0 * depth_cm),))
    row = screen(a_case, [standard(seconds)])[0]
    return one, task_at(a_case, one, row), row


ENDS = ("origin", "destination")
LIFTS = st.fixed_dictionaries(
    {
        "mass": st.floats(4, 25),
        "depth_cm": st.sampled_from([0.0, 20.0, 35.0, 50.0]),
        "horizontal_origin": st.floats(30, 60),
        "horizontal_destination": st.floats(30, 60),
        "vertical_origin": st.floats(10, 150),
        "vertical_destination": st.floats(20, 120),
        "asymmetry_destination_deg": st.floats(0, 60),
        "seconds": st.sampled_from([15.0, 60.0]),
        "control_at_destination": st.booleans(),
    }
)


def nearest(depth_cm, vertical):
    """[waters1994] p. 8: the estimate of H, below which no core of that depth can be held."""
    return max(25.0, (20.0 if vertical >= 25 else 25.0) + depth_cm / 2)


@pytest.mark.rules("N-h-estimate")
@settings(max_examples=5, deadline=None)
@given(what=LIFTS)
def test_every_answer_can_be_built_and_holds_with_its_margin(what):
    """Whole steps, no H below the core's own, at most 10 % of other cycles above 1; a measure holds its own index."""
    depth = what.pop("depth_cm")
    one, task, _ = lift_and_task(depth, **what)
    ranges = allowed(task, ())
    found = redesign_of(task, one, ranges)
    for change in filter(None, (*found.singles, found.total, found.best)):
        values = {**task.values, **change.after}
        for name, value in change.after.items():
            assert value in grid(name, task, ranges[name]), name
        for end in ("origin", "destination"):
            height = values[f"vertical_{end}"] - values["platform"]
            now = task.values[f"horizontal_{end}"]
            assert values[f"horizontal_{end}"] >= min(now, nearest(depth, height)) - 1e-9
        assert change.li == pytest.approx(float(index_of(task, **change.after)))
        if change is not found.best:
            moved = replace(task, values=values)
            assert change.high <= 1 and sureness(moved, one, draws=20_000, seed=5).above_1 <= 0.115
    assert (found.total is None) == (found.best.high > 1)
    for reaching in found.reaching:
        assert reaching.measure.code == "hoist" or reaching.measure.index <= 1
    if found.total is None:
        rng = np.random.default_rng(3)
        points = {name: rng.choice(grid(name, task, span), 300) for name, span in ranges.items()}
        tries = [dict(zip(points, row, strict=True)) for row in zip(*points.values(), strict=True)]
        held = [
            t
            for t in tries
            if all(
                t.get(f"horizontal_{e}", 99)
                >= min(
                    task.values[f"horizontal_{e}"],
                    nearest(depth, t.get(f"vertical_{e}", task.values[f"vertical_{e}"]) - t.get("platform", 0)),
                )
                for e in ("origin", "destination")
            )
        ]
        assert all(float(index_of(task, **t)) >= found.best.li - 1e-9 for t in held)


def test_a_range_without_a_whole_step_changes_nothing():
    """Reach from 38 to 38.4 cm and nothing else: today's value is the only place, so there is no change to name."""
    one, task, _ = lift_and_task(mass=12.0, horizontal_destination=38.4)
    found = redesign_of(task, one, {"horizontal_destination": (38.2, 38.4)})
    assert found.best.after == {} and found.total is None and found.singles == ()


def test_a_single_change_is_the_nearest_step_that_holds():
    """Every step nearer to today's reach is exceeded in more than 10 % of cycles."""
    one, task, _ = lift_and_task(mass=7.5, control_at_destination=False, horizontal_origin=50.0)
    (change,) = [c for c in redesign_of(task, one, allowed(task, ())).singles if set(c.after) == {"horizontal_origin"}]
    step = change.after["horizontal_origin"]
    assert float(step).is_integer()
    nearer = replace(task, values={**task.values, "horizontal_origin": step + 1})
    assert (
        high_index(nearer, one) > 1 >= high_index(replace(task, values={**task.values, "horizontal_origin": step}), one)
    )


def test_a_target_out_of_reach_names_the_best_and_what_reaches_it():
    """24 kg of 30 cm depth is above LC of 23 kg: the best index is said, and a hoist; two parts only where they do."""
    one, task, _ = lift_and_task(30.0, mass=24.0)
    found = redesign_of(task, one, allowed(task, ()))
    assert found.total is None and found.best.li > 24 / 23 and found.best.high > found.best.li
    said = redesign_sentence(found, "metric", target=1.0)
    assert "cannot be reached" in said and "hoist" in said and f"{found.best.li:.2f}" in said
    assert {r.measure.code for r in found.reaching} == {"hoist"}
    one, task, _ = lift_and_task(30.0, mass=16.0)
    assert {r.measure.code for r in redesign_of(task, one, allowed(task, ())).reaching} >= {"hoist", "halves"}


def test_no_margin_is_not_taken_for_certainty():
    """An index of exactly 1.00 is not at the target: half of the cycles are above it."""
    one, task, _ = lift_and_task(mass=1.0)
    at_one = replace(task, values={**task.values, "mass": 1.0 / float(index_of(task))})
    assert float(index_of(at_one)) == pytest.approx(1.0) and high_index(at_one, one) > 1.02
    assert redesign_of(at_one, one, {}).total is None
    assert with_errors(lift(), units="us")[0].measured_error == 0.8
    assert with_errors(replace(lift(), measured_error=1.0, measured_error_deg=2.0), units="metric")[1] is False


def test_what_a_core_box_may_make():
    """Mass is LC times the multipliers over the margin; deeper by 1 cm puts the hands too far away."""
    one, task, _ = lift_and_task(20.0, mass=6.0, horizontal_origin=30.0, horizontal_destination=30.0)
    box = core_box(task, one)
    margin = high_index(task, one) / float(index_of(task))
    v = task.values
    ends = [
        rate(
            Posture(
                horizontal=v[f"horizontal_{e}"],
                vertical=v[f"vertical_{e}"],
                travel=20.0,
                frequency_per_min=1.0,
                duration="long",
                coupling="poor",
                vertical_at_origin=90.0,
            )
        ).rwl
        for e in ("origin", "destination")
    ]
    assert box.mass == pytest.approx(float(min(ends)) / margin) and box.mass_good > box.mass
    for depth, holds in ((box.depth, True), (box.depth + 1, False)):
        reach = {f"horizontal_{e}": max(30.0, nearest(depth, v[f"vertical_{e}"])) for e in ("origin", "destination")}
        deeper = replace(task, core_depth=depth, values={**v, **reach})
        assert (high_index(deeper, one) <= 1) is holds
    assert "deep" in core_box_sentence(box, "metric", 6.0)
    far = replace(task, values={**v, "horizontal_origin": 70.0})
    assert core_box(far, one).mass == 0 and "no core is light enough" in core_box_sentence(
        core_box(far, one), "metric", 6.0
    )
    assert "halves" not in {measure.code for measure in whole_measures(task, replace(one, core=""))}
    heavy = replace(task, values={**v, "mass": 40.0})
    assert core_box(heavy, one).depth is None and "too heavy" in core_box_sentence(core_box(heavy, one), "metric", 40.0)


@pytest.mark.rules("N-h-estimate")
def test_a_mask_is_held_no_nearer_than_its_own_depth_allows():
    """[waters1994] p. 8: 20 cm + 48/2; unknown, the answer says what the reach that it advises leaves room for."""
    place = {"mass": 14.0, "horizontal_origin": 55.0, "horizontal_destination": 55.0}
    one, task, _ = lift_and_task(**place, load_depth=48.0)
    assert min(redesign_of(task, one, allowed(task, ())).best.after[f"horizontal_{e}"] for e in ENDS) == 44
    assert room_sentence(task, [redesign_of(task, one, allowed(task, ())).best]) == ""
    one, task, _ = lift_and_task(**place)
    best = redesign_of(task, one, allowed(task, ())).best
    near = min(best.after[f"horizontal_{end}"] for end in ENDS)
    assert near == 25 and "at most 10" in room_sentence(task, [best]) and "not entered" in room_sentence(task, [best])
    low = replace(best, after={"horizontal_origin": 25.0, "vertical_origin": 20.0})
    assert "leaves no room" in room_sentence(task, [low]), "25 cm below a height of 25 cm"
    assert room_sentence(task, [replace(best, after={"frequency_per_min": 0.2})]) == ""
