"""Handling: lifts of a case screened at the pace of the standard; what is not covered; how long and how often."""

import math
from dataclasses import replace

import pytest
from handling_cases import case, lift, standard
from hypothesis import given, settings
from hypothesis import strategies as st

from coreset.case import Place
from coreset.lifting.duration import (
    averaged_per_min,
    duration_class,
    recovery_needed_min,
    sessions,
    worked_together_min,
)
from coreset.lifting.infrequent import seldom
from coreset.lifting.lift_end import MULTIPLIERS, Posture, rate
from coreset.lifting.screen import screen
from coreset.sources import table


def one(a_lift, seconds=30.0, **what):
    """A single lift screened."""
    return screen(case(a_lift, **what), [standard(seconds)])[0]


def test_pace_comes_from_the_standard_and_the_lifts_per_mold():
    """Two lifts a mold at a standard of 30 s are four a minute."""
    found = one(lift(lifts_per_mold=2.0))
    assert (found.frequency_per_min, found.frequency_from) == (4.0, "standard")
    assert found.origin.fm == 0.45


def test_studies_are_pooled_by_their_cycles_and_an_estimate_counts_alone():
    """40 cycles at 30 s and 20 at 60 s are 40 s; a standard without cycles is taken where there is no other."""
    found = screen(case(lift()), [standard(30, cycles=40), standard(60, cycles=20), standard(99, cycles=0)])[0]
    assert found.frequency_per_min == pytest.approx(1.5)
    assert screen(case(lift()), [standard(20, cycles=0)])[0].frequency_per_min == pytest.approx(3.0)


def test_a_faster_method_raises_an_index_that_its_shorter_reach_lowered():
    """The trade that the tool is for: half the reach, but four times the pace."""
    slow = lift(task="hand", horizontal_destination=50.0)
    fast = lift(task="mask", method="core setter", horizontal_destination=35.0, lifts_per_mold=2.0)
    by_hand, assisted = screen(case(slow, fast), [standard(60), standard(24, "core setter")])
    assert assisted.destination.hm > by_hand.destination.hm
    assert assisted.li > by_hand.li


@pytest.mark.rules("N-a-both", "N-h-both", "N-s-both")
def test_both_ends_are_rated_and_the_lower_governs():
    """[waters1994]: precise placement is rated at the destination too; the lower RWL is the result."""
    found = one(lift())
    assert found.end == "destination" and found.rwl == found.destination.rwl < found.origin.rwl
    assert found.li == pytest.approx(10 / found.rwl)
    free = one(lift(control_at_destination=False))
    assert free.end == "origin" and free.rwl == free.origin.rwl
    same = rate(Posture(horizontal=50, vertical=70, travel=20, frequency_per_min=2, duration="long"))
    assert found.rwl == pytest.approx(float(same.rwl))
    assert [getattr(found.destination, m) for m in MULTIPLIERS] == pytest.approx([float(m) for m in same.multipliers])


def test_lifts_of_a_set_up_are_spread_over_the_run():
    """Six rack lifts a run of 500 molds at 30 s: 6 in 250 minutes."""
    found = one(lift(lifts_per_mold=0.0, lifts_per_run=6.0, core="", mass=12.0))
    assert found.frequency_from == "run"
    assert found.frequency_per_min == pytest.approx(6 / 250)


def test_an_override_needs_no_standard():
    """The user's own frequency is taken as it is; without it and without a standard there is no pace."""
    found = screen(case(lift(frequency_per_min=3.0, frequency_reason="counted")), [])[0]
    assert (found.frequency_per_min, found.frequency_from) == (3.0, "override")
    without = screen(case(lift()), [])[0]
    assert without.why_not == ("no_standard",) and without.li is None and math.isnan(without.frequency_per_min)


@pytest.mark.parametrize(("what", "code"), [({"persons": 2}, "two_persons"), ({"hoist": True}, "hoist")])
def test_what_is_not_covered_has_a_reason_instead_of_a_number(what, code):
    """[waters1994] section 1.2: nobody lifts it, or nobody lifts all of it."""
    found = one(lift(**what))
    assert not found.applies and found.why_not == (code,) and found.at_least == ()
    assert found.li is None and found.rwl is None and found.origin.rwl is None and found.destination.li is None
    assert 0 < found.origin.hm <= 1


@pytest.mark.rules("N-h-max")
@pytest.mark.parametrize(
    ("what", "code"),
    [
        ({"horizontal_destination": 70.0}, "reach_limit"),
        ({"vertical_origin": 176.0}, "height_limit"),
        ({"asymmetry_destination_deg": 140.0}, "angle_limit"),
        ({"lifts_per_mold": 20.0}, "frequency_limit"),
    ],
)
def test_beyond_a_limit_the_cause_is_told_not_an_endless_index(what, code):
    """RWL 0: the method covers the task, its answer is that nothing may be lifted; the cause is named."""
    found = one(lift(**what))
    assert found.applies and found.rwl == 0 and found.li is None
    assert code in found.why_not


@pytest.mark.parametrize(
    ("what", "code"),
    [
        ({"mass": 400.0}, "mass_high"),
        ({"horizontal_origin": 400.0}, "reach_high"),
        ({"vertical_origin": 900.0}, "height_high"),
        ({"frequency_per_min": 90.0}, "frequency_high"),
    ],
)
def test_a_likely_slip_of_unit_is_questioned_but_rated(what, code):
    """A mass of 400 kg, a reach of 4 m, a height of 9 m: more likely a slip, yet the worst of lifts if it is none."""
    found = one(lift(**what))
    assert found.applies and code in found.limits
    assert found.li > 30 if code == "mass_high" else found.rwl == 0


def test_a_reach_inside_the_body_is_not_rated():
    """4 cm: an index from it would be too low, so there is none."""
    found = one(lift(horizontal_origin=4.0))
    assert not found.applies and found.why_not == ("reach_low",) and found.li is None


def test_what_a_hoist_holds_is_no_slip_of_unit():
    """A pallet of 180 kg under a hoist is not lifted by hand: that is the reason, not its mass."""
    assert one(lift(hoist=True, mass=180.0)).why_not == ("hoist",)


def test_a_pace_above_the_table_rests_on_no_row_from_memory():
    """[waters1994] pp. 14-15: above 15 a minute FM is 0, which is printed; nothing of it is from memory."""
    found = one(lift(lifts_per_mold=8.0, duration="short"))
    assert found.rwl == 0.0 and found.status == "reprinted"


@pytest.mark.rules("N-f-def", "N-f-special")
def test_bursts_shorter_than_a_quarter_of_an_hour_are_averaged():
    """[waters1994] section 1.3.5: 10 a minute for 8 of 15 minutes is 5.33."""
    row = table("waters1994/example_frequency").rows[0]
    rest = float(row["sample_min"]) - float(row["work_min"])
    f = averaged_per_min(float(row["rate_per_min"]), [(float(row["work_min"]), rest)])
    assert f == pytest.approx(float(row["frequency_per_min"]), abs=0.005)
    assert averaged_per_min(10, [(20, 40)]) == 10
    assert averaged_per_min(10, []) == 10
    assert averaged_per_min(16, [(1, 30)]) == 16
    found = one(lift(lifts_per_mold=5.0), place=Place(sessions_min=((8.0, 7.0),)))
    assert found.frequency_per_min == pytest.approx(5.33, abs=0.005)


@pytest.mark.rules("N-t-add")
def test_sessions_with_too_little_recovery_are_added():
    """[waters1994] p. 14: 30 and 45 min with 10 min light work between are 75 min, moderate; with 30 min, short."""
    for row in table("waters1994/example_duration").rows:
        spells = [(float(row["first_min"]), float(row["light_min"])), (float(row["second_min"]), 60.0)]
        edition, asked = "2021", row["duration"]
        assert worked_together_min(spells, duration=asked, edition=edition) == float(row["together_min"])
        assert duration_class(spells, edition=edition) == row["duration"]


@pytest.mark.rules("N-t-moderate", "N-t-short")
def test_recovery_by_edition():
    """[waters1994]: 1.2 of the work time in the 1994 print, 1.0 in the 2021 revision; 0.3 when moderate."""
    for row in table("waters1994/recovery").rows:
        assert recovery_needed_min(50, edition=row["edition"]) == pytest.approx(50 * float(row["short"]))
        assert recovery_needed_min(90, edition=row["edition"]) == pytest.approx(90 * float(row["moderate"]))
    spells = [(50, 55)] * 4
    assert duration_class(spells, edition="2021") == "short"
    assert duration_class(spells, edition="1994") == "moderate"
    assert duration_class([(100, 20)] * 3) == "long"
    assert duration_class([(100, 30)] * 3) == "moderate"
    assert duration_class([], hours_per_shift=1) == "short"


@pytest.mark.rules("N-f-once")
def test_pauses_inside_a_quarter_of_an_hour_do_not_end_a_session():
    """[waters1994] section 1.3.5: the class follows from breaks between sessions, not within them."""
    assert sessions([(8, 7)] * 2) == [(15.0, 7.0)] * 2
    assert duration_class([(8, 7)]) == duration_class([(1, 2)] * 160) == "long"


@given(spells=st.lists(st.tuples(st.floats(1, 200), st.floats(0, 200)), min_size=1, max_size=6))
def test_the_older_rule_is_never_the_milder(spells):
    """The default, 1.2 of the work time, is the stricter of the two editions."""
    order = ["short", "moderate", "long"]
    assert order.index(duration_class(spells, edition="1994")) >= order.index(duration_class(spells, edition="2021"))


@pytest.mark.rules("N-f-infrequent")
def test_lifting_seldom_may_take_the_short_duration():
    """[waters1994] section 1.3, reprinted: below 0.1 a minute the short column may be used: FM 1.00, not 0.85."""
    seldom_lift = lift(lifts_per_mold=0.0, lifts_per_run=6.0)
    a_case = case(seldom_lift, lift(task="often"))
    found = screen(a_case, [standard(30)])
    assert found[0].frequency_per_min == pytest.approx(0.024) and found[0].duration == "long"
    assert found[0].origin.fm == 0.85
    (one,) = seldom(a_case, found)
    assert one.task == "set core" and one.short == pytest.approx(found[0].li * 0.85)
    short = screen(case(replace(seldom_lift, duration="short")), [standard(30)])[0]
    assert short.li == pytest.approx(one.short) and short.origin.fm == 1.0
    assert seldom(case(replace(seldom_lift, duration="short")), (short,)) == ()


WORSE = {
    "mass": 3.0,
    "horizontal_origin": 10.0,
    "horizontal_destination": 10.0,
    "asymmetry_origin_deg": 40.0,
    "asymmetry_destination_deg": 40.0,
    "travel": 30.0,
    "frequency_per_min": 2.0,
}


@settings(max_examples=40, deadline=None)
@given(
    what=st.fixed_dictionaries(
        {
            "mass": st.floats(3, 20),
            "horizontal_origin": st.floats(15, 50),
            "horizontal_destination": st.floats(15, 50),
            "vertical_origin": st.floats(0, 175),
            "vertical_destination": st.floats(0, 175),
            "asymmetry_origin_deg": st.floats(0, 90),
            "asymmetry_destination_deg": st.floats(0, 90),
            "travel": st.floats(1, 140),
            "frequency_per_min": st.floats(0.05, 6),
            "control_at_destination": st.booleans(),
        }
    ),
    share=st.floats(0, 1),
)
def test_more_of_anything_bad_never_lowers_the_index_of_a_task(what, share):
    """Common practice, no source: heavier, farther, more twist, travel or pace, a longer shift, a poorer hold."""

    def index(duration="moderate", coupling="fair", **changed):
        one = lift(**what | changed | {"frequency_reason": "counted", "duration": duration, "coupling": coupling})
        found = screen(case(one), [])[0]
        return math.inf if found.li is None else found.li

    base = index()
    for name, more in WORSE.items():
        assert index(**{name: what[name] + share * more}) >= base - 1e-12, name
    assert index(control_at_destination=True) >= base - 1e-12
    assert index(duration="long") >= base >= index(duration="short")
    assert index(coupling="poor") >= base >= index(coupling="good")
    for end in ("origin", "destination"):
        height = what[f"vertical_{end}"]
        away = min(175.0, height + share * 20) if height >= 75 else max(0.0, height - share * 20)
        assert index(**{f"vertical_{end}": away}) >= base - 1e-12, end
