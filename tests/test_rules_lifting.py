"""Rules of the lifting manual [waters1994] that no other test holds alone; each docstring names its rule."""

import re

import numpy as np
import pytest
from handling_cases import case, lift, standard

from coreset.case import Place
from coreset.errors import OutOfRange
from coreset.lifting.composite import composite_index
from coreset.lifting.duration import averaged_per_min, duration_class, recovery_needed_min, worked_together_min
from coreset.lifting.equation import distance_multiplier, frequency_multiplier, vertical_multiplier
from coreset.lifting.job import index_at, job_of
from coreset.lifting.lift_end import Posture, lifting_index, rate
from coreset.lifting.report.composite_working import working_of_composite
from coreset.lifting.screen import screen
from coreset.text import catalogue, say


def screened(a_lift, **what):
    """One lift at a standard of 60 s, so one a minute for each lift a mold."""
    return screen(case(a_lift, **what), [standard(60.0)])[0]


@pytest.mark.rules("N-d-measure", "N-def-lift")
@pytest.mark.parametrize("control", [True, False])
def test_lowering_is_as_hard_as_raising(control):
    """N-def-lift, N-d-measure: the ends exchanged, D is the same and so is the limit at each place."""
    up = screened(lift(vertical_origin=80.0, vertical_destination=130.0, control_at_destination=control))
    down = screened(lift(vertical_origin=130.0, vertical_destination=80.0, control_at_destination=control))
    assert up.origin.dm == down.origin.dm == pytest.approx(0.82 + 4.5 / 50)


@pytest.mark.rules("N-def-li")
def test_the_index_is_the_load_over_the_limit():
    """N-def-li: 11.5 kg of 23 are 0.5; three times the limit is 3."""
    assert lifting_index([11.5, 69.0], [23.0, 23.0]) == pytest.approx([0.5, 3.0])


@pytest.mark.rules("N-vm-abs")
@pytest.mark.parametrize(("units", "reference"), [("metric", 75.0), ("us", 30.0)])
def test_heights_above_and_below_the_reference_count_alike(units, reference):
    """N-vm-abs: as far below as above gives the same VM, and 1 at the reference itself."""
    away = np.array([1.0, 10.0, 29.0])
    below, above = (vertical_multiplier(reference + side * away, units=units) for side in (-1, 1))
    assert below == pytest.approx(above)
    assert vertical_multiplier(reference, units=units) == 1.0


@pytest.mark.rules("N-d-min")
@pytest.mark.parametrize(("units", "shortest"), [("metric", 25.0), ("us", 10.0)])
def test_a_short_travel_counts_as_the_shortest_of_the_table(units, shortest):
    """N-d-min: from none to 25 cm (10 in) DM is that of 25 cm, 1; a little more is less."""
    assert distance_multiplier([0.0, shortest / 2, shortest], units=units) == pytest.approx([1.0, 1.0, 1.0])
    assert distance_multiplier(shortest * 1.2, units=units) < 0.98


@pytest.mark.rules("N-f-special-slip")
def test_the_second_example_of_bursts_is_its_exact_figure():
    """N-f-special-slip: 10 a minute for 5 of 15 minutes are 3.33; the print has 3.4."""
    assert averaged_per_min(10.0, [(5.0, 10.0)]) == pytest.approx(10 / 3)


@pytest.mark.rules("N-f-continuous")
def test_lifting_without_a_pause_is_not_averaged():
    """N-f-continuous: 16 minutes at 10 a minute are 10 a minute, whatever pause follows."""
    assert averaged_per_min(10.0, [(16.0, 60.0)]) == 10.0


@pytest.mark.rules("N-t-add")
def test_sessions_apart_and_sessions_that_add_up():
    """N-t-add: of 30 and 45 minutes, 10 minutes apart 75 count as one; 30 minutes apart both are short.

    Two hours need 36 minutes of recovery. The older print asks for 36 minutes after 30, so there they add up.
    """
    assert worked_together_min([(30, 10), (45, 60)], duration="moderate", edition="2021") == 75
    assert duration_class([(30, 10), (45, 60)], edition="2021") == "moderate"
    assert duration_class([(30, 30), (45, 60)], edition="2021") == "short"
    assert duration_class([(30, 30), (45, 60)], edition="1994") == "moderate"
    assert recovery_needed_min(120, edition="2021") == pytest.approx(36)


@pytest.mark.rules("N-m-floor")
def test_frequencies_are_summed_as_they_are():
    """N-m-floor: two tasks of 0.05 a minute are 0.1 together, still the first row, so the second adds nothing."""
    found = composite_index(
        fili=[1.0, 0.9], stli_independent=[1.0, 0.9], frequency_per_min=[0.05, 0.05], vertical=[80, 80], duration="long"
    )
    assert found.cumulated_per_min == pytest.approx([0.05, 0.1])
    assert found.index == pytest.approx(1 / 0.85)


@pytest.mark.rules("N-m-cli", "N-m-fmsum")
def test_one_task_in_two_parts_is_one_task():
    """N-m-cli, N-m-fmsum: 2 a minute and 2 a minute of the same load are 4 a minute: 1/0.84."""
    found = composite_index(
        fili=[1, 1], stli_independent=[1, 1], frequency_per_min=[2, 2], vertical=[80, 80], duration="short"
    )
    assert found.index == pytest.approx(1 / 0.84)


@pytest.mark.rules("N-load", "N-load-fili")
def test_the_largest_load_enters_the_strength_index_alone():
    """N-load-fili: FILI of the largest load, STLI of the load itself."""
    job = job_of(case(lift(mass=10.0, mass_max=15.0)), pattern="P1", method="manual")
    (task,) = job.tasks
    assert task.fili / task.fili_mean == pytest.approx(1.5)


@pytest.mark.rules("N-m-firwl", "N-m-strwl")
def test_without_frequency_the_limit_is_that_of_strength():
    """N-m-firwl, N-m-strwl: at 0.2 a minute, short, FM is 1; the limit at any other pace is that times FM."""
    what = {"horizontal": 40.0, "vertical": 60.0, "travel": 50.0, "coupling": "fair"}
    strength = rate(Posture(**what, frequency_per_min=0.2, duration="short")).rwl
    often = rate(Posture(**what, frequency_per_min=6.0, duration="moderate")).rwl
    assert often == pytest.approx(strength * frequency_multiplier(6.0, "moderate", 60.0))


@pytest.mark.rules("N-x-climate")
@pytest.mark.parametrize("celsius", [19.0, 26.0])
def test_the_climate_assumed_includes_its_ends(celsius):
    """N-x-climate: 19 and 26 degrees are within, a tenth beyond is not."""
    assert not screened(lift(), place=Place(temperature=celsius)).at_least
    beyond = celsius + (0.1 if celsius > 20 else -0.1)
    assert screened(lift(), place=Place(temperature=beyond)).at_least in {("hot",), ("cold",)}


@pytest.mark.rules("N-load-single")
def test_the_index_of_one_task_is_for_the_usual_load_and_the_largest_decides():
    """N-load-single: the print is silent; 6 kg as a rule and 14 at most: both indices stand, the larger is governing.

    A largest load below the usual one is refused.
    """
    usual, mixed = screened(lift(mass=6.0, core="")), screened(lift(mass=6.0, core="", mass_max=14.0))
    assert mixed.li == usual.li == pytest.approx(6.0 / usual.rwl)
    assert mixed.li_largest == pytest.approx(14.0 / usual.rwl) and mixed.governing == mixed.li_largest
    with pytest.raises(OutOfRange, match="at least the mass"):
        screened(lift(mass=6.0, core="", mass_max=2.0))


@pytest.mark.rules("N-d-levels")
def test_each_tier_is_a_task_with_its_own_travel():
    """N-d-levels: from 30, 80 and 130 cm to a mold at 75 cm D is 45, 25 (as 5) and 55; one task each in the job.

    One row at the middle tier for all three would be milder than the three.
    """
    tiers = [lift(task=f"tier {v}", vertical_origin=float(v), vertical_destination=75.0) for v in (30, 80, 130)]
    rows = screen(case(*tiers), [standard(60.0)])
    assert [row.origin.dm for row in rows] == pytest.approx([0.82 + 4.5 / 45, 1.0, 0.82 + 4.5 / 55])
    apart = job_of(case(*tiers), pattern="P1", method="manual")
    together = job_of(case(lift(vertical_destination=75.0, vertical_origin=80.0, lifts_per_mold=3.0)),
                      pattern="P1", method="manual")  # fmt: skip
    assert len(apart.tasks) == 3
    assert index_at(apart, 60.0).governing > index_at(together, 60.0).governing


@pytest.mark.rules("N-f-sessions")
def test_sessions_at_paces_that_differ_are_tasks_of_their_own():
    """N-f-sessions: 1 and 5 a minute differ by more than 2: as tasks, the faster one governs, never their mean of 3.

    Both stand in the job with their own FM, so its index is above that of the faster session alone.
    """
    slow, fast, mean = (
        lift(task=name, frequency_per_min=f, frequency_reason="counted", lifts_per_mold=0.0)
        for name, f in (("slow", 1.0), ("fast", 5.0), ("mean", 3.0))
    )
    found = {row.task: row.li for row in screen(case(slow, fast, mean), [standard(60.0)])}
    assert found["slow"] < found["mean"] < found["fast"]
    job = job_of(case(slow, fast), pattern="P1", method="manual")
    assert index_at(job, 60.0).governing > found["fast"]


@pytest.mark.rules("N-f-varies")
def test_a_sampled_frequency_holds_instead_of_that_of_the_pace():
    """N-f-varies: where it is entered it is used; else it follows from the standard time, here one a minute."""
    assert screened(lift(frequency_per_min=3.0, frequency_reason="sampled")).frequency_per_min == 3.0
    assert screened(lift()).frequency_per_min == pytest.approx(1.0)


@pytest.mark.rules("N-m-avg")
def test_tasks_are_never_averaged_into_one():
    """N-m-avg: 4 and 16 kg are at least the index of 16 kg alone, above that of twice as many lifts of 10 kg."""
    index = [
        index_at(job_of(case(*lifts), pattern="P1", method="manual"), 60.0).index
        for lifts in (
            (lift(mass=4.0), lift(task="second", mass=16.0)),
            (lift(mass=16.0),),
            (lift(mass=10.0, lifts_per_mold=2.0),),
        )
    ]
    assert index[0] >= index[1] > index[2] > 0


@pytest.mark.rules("N-m-fili", "N-m-stli")
def test_strength_and_total_demand_of_a_job_are_shown_apart():
    """N-m-fili, N-m-stli: the working of a composite has the FILI of each task and the STLI of the worst."""
    job = job_of(case(lift(mass=16.0), lift(task="second", mass=30.0)), pattern="P1", method="manual")
    found = index_at(job, 60.0)
    lines = working_of_composite(job, found)
    assert sorted(line.value for line in lines if line.symbol == "FILI") == pytest.approx(sorted(found.composite.fili))
    (stli,) = [line.value for line in lines if line.symbol == "STLI"]
    assert stli == max(found.composite.stli) > max(found.composite.fili)


@pytest.mark.rules("N-r-dm")
def test_origin_and_destination_closer_in_height_raise_the_distance_multiplier():
    """N-r-dm: the set-down place lowered towards the pick-up place, DM rises to 1 and no index rises."""
    found = [screened(lift(vertical_origin=75.0, vertical_destination=high)) for high in (150.0, 120.0, 100.0)]
    assert [one.origin.dm for one in found] == pytest.approx([0.88, 0.92, 1.0])
    assert found[0].li > found[1].li > found[2].li


SHOWN = {
    "N-def-rwl": ("recommended_weight_limit", "nearly all healthy workers", "up to 8 hours", "low back pain"),
    "N-h-measure": ("reach", "along the floor", "midway between the inner ankle bones", "middle of the hand grasps"),
    "N-v-measure": ("hand_height", "middle of the hand grasps", "above the floor"),
    "N-a-measure": (
        "twist",
        "at mid-ankles",
        "straight ahead",
        "not the position of the feet nor the turn of the trunk",
    ),
    "N-t-recovery": ("recovery", "Light work after a spell of lifting"),
    "N-c-doubt": ("coupling", "in doubt the worse"),
    "N-c-tree": ("coupling_fair", "fingers bend 90 degrees", "handles are less than good"),
    "N-c-notoptimal": ("coupling_poor", "longer or higher box", "rough, slippery, sharp or off its center"),
    "N-c-bulky": ("coupling_poor", "hard to balance"),
    "N-c-comfort": ("coupling_good", "wrap around comfortably", "without a bent wrist"),
    "N-c-handle": ("coupling_good", "1.9 to 3.8 cm thick", "11.5 cm long", "5 cm of clearance"),
    "N-s-when": ("origin_and_destination", "regrasped", "held for a moment", "carefully positioned or guided"),
}
"""What the observer measures or judges: the entry of the glossary that says how, and the print's own conditions."""


@pytest.mark.rules(
    "N-def-rwl", "N-h-measure", "N-v-measure", "N-a-measure", "N-t-recovery", "N-c-doubt", "N-c-tree",
    "N-c-notoptimal", "N-c-bulky", "N-c-comfort", "N-c-handle", "N-s-when",
)  # fmt: skip
@pytest.mark.parametrize("rule", SHOWN)
def test_the_observer_is_told_how_the_manual_measures(rule):
    """The word that the help of the field leads to has what the print asks for; box sizes of Table 6, note 5."""
    entry, *parts = SHOWN[rule]
    said = catalogue()[f"glossary.{entry}"]
    assert [part for part in parts if part not in said] == []
    assert "Gloves" in catalogue()["glossary.coupling"] and "40 cm (16 in)" in catalogue()["glossary.coupling_fair"]


@pytest.mark.rules("N-x-combined", "N-x-tools")
def test_what_is_no_lift_is_named_beside_every_screen():
    """N-x-combined, N-x-tools: carrying, pushing, pulling, shovels are no part of the index; shovels no input."""
    caution = say("handling.caution.page")
    assert all(word in caution for word in ("carrying", "pushing", "pulling", "shoveling", "not a clearance"))
    assert not any(name.startswith("shovel") for name in lift().__dataclass_fields__)


@pytest.mark.rules("N-l-shape")
def test_no_chance_or_share_of_the_injured_is_shown():
    """N-l-shape: neither one worker's risk nor a share of workers: the statuses have the print's words only."""
    numbered = re.compile(
        r"(chance|probability|likelihood|odds) of (an? |low )*(injury|back)"
        r"|\{\w+\} ?%? (of (the )?)?(workers|workforce|people)[\w ]* (at|injured|hurt)",
    )
    assert numbered.search("a chance of injury of 3 %") and numbered.search("{share} % of workers are at risk")
    assert [key for key, text in catalogue().items() if numbered.search(text)] == []
    assert "some fraction of the workforce" in say("handling.one.status.above_1", sign="")
    assert "nearly all workers" in say("handling.one.status.above_3", sign="")
