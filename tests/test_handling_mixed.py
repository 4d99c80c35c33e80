"""Handling: several patterns, methods and tasks together, by sums on paper and the printed frequency table."""

from dataclasses import replace

import numpy as np
import pytest
from handling_cases import case, lift, standard

from coreset.case import Pattern, Place, Range
from coreset.lifting.composite import sequential_index
from coreset.lifting.exposure import compared, shift
from coreset.lifting.job import index_at, job_of, per_mold
from coreset.lifting.pace_and_mix import curves, job_mix, rotation
from coreset.lifting.report.exposure import mix_paces

EASY = {"horizontal_origin": 25.0, "vertical_origin": 75.0, "horizontal_destination": 25.0,
        "vertical_destination": 75.0, "coupling": "good"}  # fmt: skip
"""All multipliers but FM are 1, so that LI is mass/(23 FM)."""


def easy(pattern="P1", mass=11.5, **what):
    """A lift with its own mass under the best conditions."""
    return lift(**EASY | {"pattern": pattern, "core": "", "mass": mass, "task": f"{pattern} {mass:g}"} | what)


def two(*lifts, place=None, molds=(20_000, 60_000)):
    """P1 and P2 with 500 molds a run."""
    patterns = tuple(
        Pattern(pattern=f"P{k}", molds_per_year=Range.exactly(n), runs_per_year=n // 500)
        for k, n in enumerate(molds, 1)
    )
    return replace(case(*lifts, place=place), patterns=patterns)


def test_the_fastest_method_sets_the_paces_of_every_curve():
    """60 and 30 s a mold are 60 and 120 an hour: both curves go to 1.8 times 120 in 120 steps of 1.8."""
    lifts = easy(), easy(method="core setter", mass=5.75)
    found = curves(case(*lifts), [standard(60.0), standard(30.0, "core setter")], "P1")
    assert [curve.method for curve in found] == ["manual", "core setter"]
    for curve in found:
        assert curve.molds_per_h == pytest.approx(1.8 * np.arange(1, 121))
    hand, helped = found
    assert hand.standard_per_h == pytest.approx(60) and hand.observed_per_h == pytest.approx(3600 / 54)
    assert hand.standard_interval_per_h == pytest.approx((3600 / 63, 3600 / 57))
    assert hand.standard_index == pytest.approx(0.5 / 0.75)  # [waters1994] Table 5, long, 1 a minute
    assert helped.standard_index == pytest.approx(0.25 / 0.65)  # 2 a minute
    assert curves(case(*lifts), [standard(60.0)], "P9") == ()


@pytest.mark.unverified
def test_a_job_mix_weighs_each_lift_by_its_molds_of_the_year():
    """P1: 20,000 molds of 60 s, 1 and 0.5 lifts; P2: 60,000 of 20 s, 2 lifts: 150,000 lifts in 40,000 minutes."""
    lifts = easy(), easy(mass=4.6, lifts_per_mold=0.5), easy("P2", mass=2.3, lifts_per_mold=2.0)
    found = job_mix(two(*lifts), [standard(60.0), standard(20.0, pattern="P2")], method="manual")
    assert found.fili == pytest.approx([0.5, 0.2, 0.1])
    assert found.weight == pytest.approx([20_000, 10_000, 120_000])
    assert found.total_per_min == pytest.approx(150_000 / 40_000)
    assert (found.left_out, found.forbidden, found.cells) == (0, 0, 3)
    fm = {
        f: float(np.interp(f, [0.2, 0.5, 1, 2, 3, 4], [0.85, 0.81, 0.75, 0.65, 0.55, 0.45])) for f in (0.5, 0.75, 3.75)
    }
    expected = 0.5 / fm[0.5] + 0.2 * (1 / fm[0.75] - 1 / fm[0.5]) + 0.1 * (1 / fm[3.75] - 1 / fm[0.75])
    assert found.variable.index == pytest.approx(expected)


@pytest.mark.rules("N-f-sessions")
@pytest.mark.parametrize(("times", "told"), [(2.0, True), (1.1, False)])
def test_a_mix_of_paces_far_apart_says_so(times, told):
    """[waters1994] 1.3.5.1: at 1.5 and 6 lifts a minute their mean misleads; at 1.5 and 3.3 it does not."""
    lifts = easy(lifts_per_mold=1.5), easy("P2", mass=2.3, lifts_per_mold=times)
    found = job_mix(two(*lifts), [standard(60.0), standard(20.0, pattern="P2")], method="manual")
    assert found.paces == (("P1", pytest.approx(1.5)), ("P2", pytest.approx(3 * times)))
    assert ("differ by more than 2 lifts per minute (P2 6.0, P1 1.5)" in mix_paces(found)) is told
    assert bool(mix_paces(found)) is told


def test_a_job_mix_counts_what_is_no_part_of_it():
    """Lifted by two and once a run are left out, beyond reach is forbidden; each pattern adds its own."""
    lifts = []
    for pattern in ("P1", "P2"):
        lifts += [
            easy(pattern),
            easy(pattern, task="box", persons=2),
            easy(pattern, task="far", horizontal_origin=70.0),
        ]
        lifts += [easy(pattern, task="mask", lifts_per_mold=0.0, lifts_per_run=2.0)]
    found = job_mix(two(*lifts), [standard(60.0), standard(20.0, pattern="P2")], method="manual")
    assert (found.left_out, found.forbidden, len(found.fili)) == (4, 2, 2)


@pytest.mark.rules("N-m-duration")
def test_the_longest_duration_of_the_patterns_holds_for_the_mix():
    """P1 long, P2 short: rated as long in either order, [waters1994] Table 5 at 1.5 a minute by interpolation."""
    halfway = {"long": (0.75 + 0.65) / 2, "moderate": (0.88 + 0.84) / 2, "short": (0.94 + 0.91) / 2}
    for classes in (("long", "short"), ("short", "long"), ("short", "moderate"), ("short", "short")):
        lifts = [easy(p, duration=d, mass=11.5) for p, d in zip(("P1", "P2"), classes, strict=True)]
        found = job_mix(
            two(*lifts, molds=(20_000, 20_000)), [standard(40.0), standard(40.0, pattern="P2")], method="manual"
        )
        fm = next(fm for longest, fm in halfway.items() if longest in classes)
        assert found.variable.index == pytest.approx(0.5 / fm)
    nobody = job_mix(two(*lifts), [], method="manual")
    assert (nobody.total_per_min, nobody.variable, nobody.gridded) == (0, None, None)


@pytest.mark.rules("SLI-max")
@pytest.mark.unverified
def test_a_rotation_between_two_patterns_by_its_formula():
    """[waters2007], memory: 8 h of P1 (60 s a mold) and P2 (20 s), a year's minutes being 20,000 and 20,000.

    240 minutes each stand in the long class themselves. P1 0.5/0.75, P2 0.1/0.55 at 3 a minute (Table 5, long).
    """
    lifts = easy(), easy("P2", mass=2.3)
    timed = [standard(60.0), standard(20.0, pattern="P2")]
    worst, other = 0.5 / 0.75, 0.1 / 0.55
    assert rotation(two(*lifts), timed, method="manual").index == pytest.approx(worst)
    short = two(*lifts, place=Place(hours_per_shift=4.0))  # 120 minutes each are moderate, 240 together long
    own, k = 0.5 / 0.88, (worst + other) / 2 / worst
    assert rotation(short, timed, method="manual").index == pytest.approx(own + (worst - own) * k)


@pytest.mark.rules("SLI-time")
@pytest.mark.unverified
def test_a_rotation_weighs_patterns_by_their_time():
    """[waters2007], memory: four hours, 180 minutes of P2 (long) and 60 of P1 (short), Table 5 at 1 and at 3."""
    lifts = easy(), easy("P2", mass=2.3)
    timed = [standard(60.0), standard(20.0, pattern="P2")]
    found = rotation(two(*lifts, molds=(20_000, 180_000), place=Place(hours_per_shift=4.0)), timed, method="manual")
    own, worst, other = 0.5 / 0.94, 0.5 / 0.75, 0.1 / 0.55
    k = (worst * 60 + other * 180) / (worst * 240)
    assert found.index == pytest.approx(own + (worst - own) * k)


@pytest.mark.unverified
def test_a_pattern_without_a_covered_task_takes_no_part_in_a_rotation():
    """P2 is lifted by two people: its time is left out, and the rotation is P1's own index; P3 never runs."""
    lifts = easy(), easy("P2", persons=2)
    timed = [standard(60.0), standard(20.0, pattern="P2")]
    assert rotation(two(*lifts), timed, method="manual").index == pytest.approx(0.5 / 0.75)
    idle = two(easy(), easy("P2"), molds=(20_000, 0))
    idle = replace(idle, patterns=(idle.patterns[0], replace(idle.patterns[1], runs_per_year=1)))
    assert rotation(idle, timed, method="manual").index == pytest.approx(0.5 / 0.75)
    assert rotation(two(*lifts), [], method="manual") is None


@pytest.mark.unverified
def test_a_slot_of_less_than_a_minute_counts():
    """[waters2007], memory: of 60.5 minutes (moderate) 0.7 are P2's; P1's 59.8 are short by themselves."""
    lifts = easy(), easy("P2", mass=2.3)
    a_case = two(*lifts, molds=(200_000, 7_000), place=Place(hours_per_shift=60.5 / 60))
    rare = 60.5 * 7_000 * 20 / (200_000 * 60 + 7_000 * 20)
    own, whole, other = 0.5 / 0.94, 0.5 / 0.88, 0.1 / 0.79
    k = (whole * (60.5 - rare) + other * rare) / (whole * 60.5)
    found = rotation(a_case, [standard(60.0), standard(20.0, pattern="P2")], method="manual")
    assert rare < 1 and found.index == pytest.approx(own + (whole - own) * k)


@pytest.mark.rules("SLI-formula")
@pytest.mark.unverified
def test_a_rotation_of_three_slots_by_hand():
    """[waters2007], memory: K = (3 x 1 + 2 x 2 + 1 x 5)/(3 x 8) = 0.5, so 2.4 + 0.6 x 0.5."""
    found = sequential_index(own=[1.5, 2.4, 1.0], whole_shift=[2.0, 3.0, 1.0], hours=[2, 1, 5])
    assert found == pytest.approx(2.7)


def test_a_set_up_lift_is_spread_over_the_molds_of_its_run():
    """Two lifts a run of 500 molds; what is done each mold is counted each mold; none is none."""
    a_case = case(lift())
    assert per_mold(a_case, lift(lifts_per_mold=0.0, lifts_per_run=2.0)) == pytest.approx(2 / 500)
    assert per_mold(a_case, lift(lifts_per_mold=3.0, lifts_per_run=2.0)) == 3
    assert per_mold(a_case, lift(lifts_per_mold=0.0, lifts_per_run=0.0)) == 0
    mask = easy(mass=18.0, lifts_per_mold=0.0, lifts_per_run=2.0)
    shared = shift(case(mask, place=Place(crew=2)), [standard(30)], method="manual")
    assert shared.lifts == pytest.approx(960 * 2 / 500 / 2) and shared.mass_handled == pytest.approx(18 * shared.lifts)


def test_lifts_known_by_their_frequency_alone_are_counted_by_the_minutes():
    """Two a minute in 480 minutes are 960 lifts of 5 kg; in a mix 20,000 minutes of P1 and 30,000 of P2 count twice.

    All lifts alike are one category, whose index is LI: 5/(23 x 0.65) at two a minute [waters1994] Table 5.
    """
    what = {"mass": 5.0, "lifts_per_mold": 0.0, "frequency_per_min": 2.0, "frequency_reason": "counted"}
    found = shift(case(easy(**what)), [standard(30)], method="manual")
    assert found.lifts == pytest.approx(960) and found.mass_handled == pytest.approx(4800)
    timed = [standard(60.0), standard(30.0, pattern="P2")]
    mixed = job_mix(two(easy(**what), easy("P2", **what)), timed, method="manual")
    assert mixed.weight == pytest.approx([40_000, 60_000]) and mixed.total_per_min == pytest.approx(2)
    assert mixed.variable.index == pytest.approx(5 / (23 * 0.65))
    both = shift(case(easy(**what | {"lifts_per_mold": 1.5})), [standard(30)], method="manual")
    assert both.lifts == pytest.approx(960 * 1.5)


@pytest.mark.parametrize(("tasks", "kind"), [(1, "LI"), (2, "CLI"), (10, "CLI"), (11, "VLI")])
def test_the_kind_of_index_goes_by_the_number_of_tasks(tasks, kind):
    """One LI, up to ten CLI, above VLI (common practice, no source); the same where nothing may be lifted."""
    lifts = [easy(mass=1.0 + k, lifts_per_mold=0.1) for k in range(tasks)]
    found = index_at(job_of(case(*lifts), pattern="P1", method="manual"), 60.0)
    assert found.kind == kind and len(found.tasks) == tasks
    far = easy(task="far", horizontal_origin=70.0)
    without = index_at(job_of(case(*lifts, far), pattern="P1", method="manual"), 60.0)
    assert without.index is None and without.kind == ("LI" if tasks == 1 else "CLI")


def test_a_task_that_does_not_occur_at_a_pace_takes_no_part():
    """At pace 0 only the task with a frequency of its own is lifted: its LI, [waters1994] Table 5 at 2 a minute."""
    lifts = easy(mass=4.6, frequency_per_min=2.0, frequency_reason="counted"), easy()
    job = job_of(case(*lifts), pattern="P1", method="manual")
    still = index_at(job, 0.0)
    assert (still.kind, still.tasks, still.index) == ("LI", ("P1 4.6",), pytest.approx(0.2 / 0.65))
    assert index_at(job, 60.0).kind == "CLI"
    nothing = index_at(job_of(case(easy()), pattern="P1", method="manual"), 0.0)
    assert (nothing.kind, nothing.index) == ("LI", None)


def test_two_patterns_alike_are_the_same_for_the_crew():
    """Equal lifts by both methods: neither better nor worse; an index that equals a level is not above it."""
    lifts = easy(mass=23 * 0.75), easy(mass=23 * 0.75, method="core setter")
    row = compared(case(*lifts), [standard(60.0), standard(60.0, "core setter")])[0]
    assert (
        row.before.minutes == 480 and row.verdict == "same" and row.before.index == pytest.approx(1) == row.after.index
    )
    found = shift(case(easy(mass=17.25)), [standard(60.0)], method="manual")
    assert found.patterns[0].index == 1.0 and found.above == {1.0: 0.0, 1.5: 0.0, 3.0: 0.0}
    above = shift(case(easy(mass=17.25 * 1.6)), [standard(60.0)], method="manual")
    assert above.above == pytest.approx({1.0: 480.0, 1.5: 480.0, 3.0: 0.0})


def test_a_shift_without_any_standard_is_empty():
    """Nothing is known of its pace: no molds, no minutes, and the pattern is named."""
    found = shift(case(easy()), [], method="manual")
    assert (found.molds, found.minutes, found.lifts, found.mass_handled) == (0, 0, 0, 0)
    assert found.unknown == ("P1",)
    given = shift(case(easy()), [], method="manual", molds=100)
    assert (given.molds, given.minutes) == (0, 0)
