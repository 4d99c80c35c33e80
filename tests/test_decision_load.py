"""What an option does to the load on people, said as better or worse in the verdict of every output."""

import math
from dataclasses import replace

import pytest

from coreset.brief.content import content
from coreset.brief.document import document
from coreset.brief.screen import screen
from coreset.decision import people_words
from coreset.decision.exposure import ExposureChange, Load, people
from coreset.decision.headline import lines
from tests.test_decision import changed, demo, lifts, status


def of_method(method, pattern, **changes):
    """Lifts of the demo, those of a pattern under a method changed."""
    return [
        replace(row, **changes) if (row.method, row.pattern) == (method, pattern) else row for row in demo().case.lifts
    ]


def test_an_option_that_raises_the_load_says_so_in_the_verdict():
    """Minutes above 1.5 and mass of the demo rise; the same sentence stands in the reasons and in the lines."""
    told = document(demo())["decision"]
    shift = told["load"][0]
    assert shift["pattern"] is None and shift["verdict"] == {"minutes": "worse", "mass": "worse", "index": "same"}
    (line,) = [one for one in told["because"] if one.startswith("One person's shift")]
    before, after = (f"{shift[side]['minutes']:.0f}" for side in ("before", "after"))
    assert f"{before} → {after} (worse)" in line and "VB24 is higher than today's" in line
    assert any(line in one for one in lines(demo()))


def test_the_table_by_job_stands_in_the_command_and_the_long_form():
    """The mean shift and each pattern that goes over, in the figures of the JSON."""
    told = document(demo())["decision"]["load"]
    blocks = content(demo(), {}, full=True).annex
    (table,) = [block for block in blocks if block.text == "Load on one person in a shift, today → option"]
    assert [row[0] for row in table.rows[1:]] == ["mean shift", "HB10", "VB24", "MF15"]
    assert f"{told[1]['before']['minutes']:.0f} → {told[1]['after']['minutes']:.0f} (the same)" in table.rows[2]
    assert table.text in screen(demo()) and "kg lifted" in table.rows[0]


def test_mass_of_one_person_is_the_loads_lifted_at_standard_pace():
    """By hand: molds of a shift of 450 min at the standard of HB10, times the loads lifted for one mold."""
    a, job = demo(), next(one for one in demo().verdict.people.jobs if one.pattern == "HB10")
    for side, method in ((job.before, a.case.baseline), (job.after, a.case.candidate)):
        molds = 450.0 * 60.0 / a.pooled["HB10", method].standard_s
        rows = [row for row in a.case.lifts if (row.pattern, row.method) == ("HB10", method) and not row.hoist]
        runs = molds / (42_000.0 / 44.0)
        each = sum(a.case.mass_of(row) * (row.lifts_per_mold * molds + row.lifts_per_run * runs) for row in rows)
        assert side.mass == pytest.approx(each)


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        (Load(minutes=100, mass=1, index=1.6), Load(minutes=50, mass=1, index=1.4), ("better", "better")),
        (Load(minutes=100, mass=1, index=1.6), Load(minutes=50, mass=1, index=1.4, unrated=frozenset({("P", "hot")})),
         ("unknown", "unknown")),
        (Load(minutes=50, mass=1, index=math.inf), Load(minutes=60, mass=1, index=1.4), ("worse", "better")),
        (Load(minutes=50, mass=1, index=1.4), Load(minutes=50, mass=1, index=math.nan), ("same", "unknown")),
    ],
)  # fmt: skip
def test_a_lower_limit_proves_nothing_better(before, after, said):
    """Minutes, then index."""
    change = ExposureChange(pattern="P", before=before, after=after)
    assert (change.verdict("minutes"), change.verdict("index")) == said


def test_missing_lifts_and_times_never_look_like_less_load():
    """Without its lifts under the setter, or without its time, less is not known to be better."""
    bare = changed(lifts=tuple(row for row in demo().case.lifts if row.method == "manual"))
    shift = people(bare, bare.money.alternatives[0]).shift
    assert shift.after.mass < shift.before.mass and shift.verdict("mass") == shift.verdict("minutes") == "unknown"
    untimed = next(row for row in demo().money.alternatives if not row.timed)
    assert people(demo(), untimed).shift.verdict("mass") == "unknown"
    assert all(math.isnan(job.after.mass) for job in people(demo(), untimed).jobs)


def test_minutes_in_which_nothing_may_be_lifted_count():
    """With the gear case within reach, its minutes are no longer counted: fewer, not more."""
    near = changed(lifts=lifts(method="manual", pattern="GC07", reach=50.0))
    far, reached = (a.verdict.people.shift.before for a in (demo(), near))
    assert reached.minutes < far.minutes and math.isfinite(reached.index) and math.isinf(far.index)


def test_the_shift_is_heard_where_no_single_job_is_as_bad():
    """Lifts of VB24 rated for an hour or less are 3 or less; all shift long they are above 3: the rotation says so."""
    short = [
        replace(row, duration="short", mass=row.mass if row.lifts_per_run else 16.0)
        if (row.method, row.pattern) == ("core setter", "VB24")
        else row
        for row in of_method("manual", "GC07", horizontal_destination=45.0)
    ]
    a = changed(lifts=tuple(short))
    job = next(one for one in a.jobs if (one.pattern, one.method) == ("VB24", "core setter"))
    assert job.status == "above_1"
    assert status(a, "lifting") == "not_proven"
    assert "" in next(row.of for row in a.verdict.constraints if row.key == "lifting")
    assert any("the shift's rotation" in one for one in document(a)["decision"]["not_proven"])


def test_actions_are_overdue_on_the_day_of_reading():
    """Due after the day of the case and before that of reading; without a day of reading, that of the case holds."""
    from coreset.case import Action

    one = Action(action="A1", pattern="HB10", method="manual", change="rack nearer", owner="SC1", due="2026-11-20")
    a = replace(demo(), case=replace(demo().case, actions=(one,)))
    assert not any("Overdue" in line for line in people_words.must_do(a.verdict, a))
    late = replace(a, day="2026-11-29")
    assert "2026-11-29" in document(late)["decision"]["must_do"][-1]
