"""Rest and pace in the open: where rest is taken, never twice, what a crew's pace does; figures by hand."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import plant
import pytest

from coreset.case import Line, Method, Step, Stop
from coreset.errors import StudyError
from coreset.line.mold_cycle import mold_cycles
from coreset.line.notes import method_notes
from coreset.line.report import sentences
from coreset.line.rest import rest_of
from coreset.line.today import paces_of
from coreset.line.what_if import what_ifs
from coreset.store.folder import write

ALLOWANCE = 0.15
STEPS = (
    Step(name="make", by="machine", constant_s=20.0, source="sheet"),
    Step(name="set", by="operator", element="set", after=("make",)),
    Step(name="clear", by="operator", element="clear"),
    Step(name="close", by="machine", constant_s=6.0, source="sheet", after=("clear",)),
    Step(name="fetch", by="operator", element="fetch"),
)
"""Make 20, close 6 (machine); set 15, clear 4, fetch 9 while the machine makes: 45 s by basic times."""


def standard(basic=None, *, contingency=0.0, basis="normal"):
    """A study of those elements, each cycle alike, with an allowance of 15 % on what people do."""
    basic = basic or {"set": 15.0, "clear": 4.0, "fetch": 9.0}
    whole = 1.0 + ALLOWANCE + contingency
    percent = 100 * (ALLOWANCE + contingency) if basis == "normal" else 100 * (1 - 1 / whole)
    lines = [SimpleNamespace(cause="rest", percent=percent * ALLOWANCE / (ALLOWANCE + contingency))]
    lines += [SimpleNamespace(cause="contingency", percent=percent - lines[0].percent)] if contingency else []
    return SimpleNamespace(
        study="S", pattern="HUB", method="manual", standard_s=whole * sum(basic.values()),
        draws_s=np.full(9, whole * sum(basic.values())),
        cycle_standard_s={name: np.full(12, whole * s) for name, s in basic.items()}, allowance_pct=percent,
        allowance_basis=basis, allowance_lines=tuple(lines),
        elements=tuple(SimpleNamespace(element=name, kind="manual") for name in basic),
    )  # fmt: skip


def case(*, rest="in the cycle", breaks=0.0, hours=8.0, performance=100.0):
    """The plant with that method, its shift and its breaks."""
    method = Method(method="manual", steps=STEPS, rest=rest, performance_pct=performance)
    return plant.plant(methods=(method,), line=Line(hours_per_shift=hours, breaks_min=breaks))


def molds(found, one):
    """Cycle at fixed times and molds of the manned hours."""
    row = mold_cycles(found, [one], replications=20)[0]
    return row.deterministic_s, 3600 * found.line.hours_per_shift / row.deterministic_s, row


@pytest.mark.parametrize(
    ("rest", "breaks", "hours", "cycle_s", "made", "in_cycle"),
    [
        ("in the cycle", 0.0, 8.0, 47.85, 601.88, 0.15),
        ("in the cycle", 20.0, 460 / 60, 46.93958, 587.99, 0.1020833),  # breaks give a part, the rest is in the cycle
        ("in breaks", 20.0, 460 / 60, 45.0, 613.33, 0.0),
        ("in waiting", 0.0, 8.0, 45.0, 640.0, 0.0),
        ("in stops", 0.0, 8.0, 45.0, 640.0, 0.0),
        ("in breaks", 0.0, 8.0, 45.0, 640.0, 0.0),
        ("in stops", 20.0, 460 / 60, 45.0, 613.33, 0.0),
        ("in waiting", 20.0, 460 / 60, 45.0, 613.33, 0.0),
    ],
)
def test_each_combination_of_rest_and_breaks(rest, breaks, hours, cycle_s, made, in_cycle):
    """26 + 19 (1 + r) by hand, r = A - B (1 + A) / T of what breaks leave; twice would be 47.85 s in 460 min: 576.8."""
    seconds, count, row = molds(case(rest=rest, breaks=breaks, hours=hours), standard())
    assert (seconds, count) == (pytest.approx(cycle_s, abs=1e-4), pytest.approx(made, abs=0.01))
    assert (row.rest.allowed, row.rest.in_cycle) == (pytest.approx(0.15), pytest.approx(in_cycle, abs=1e-6))
    assert row.rest.all_in_cycle_s == pytest.approx(47.85) and row.rest.cycle_s == pytest.approx(seconds)
    assert not (breaks and count == pytest.approx(576.80, abs=0.5)), "rest counted twice"
    expected = 480 * 0.15 / 1.15 - 20 if breaks and rest in ("in breaks", "in stops") else None
    if expected:
        assert row.rest.short_min == pytest.approx(42.6, abs=0.05) == pytest.approx(expected, abs=0.05)
    said = " ".join(sentences.cycle(row))
    assert "15.0 % of basic time" in said and f"{100 * in_cycle:.1f} % is in the cycle" in said
    assert ("42.6 min per shift short" in said) is bool(expected)


@pytest.mark.parametrize("breaks", [0.0, 20.0])
@pytest.mark.parametrize("performance", [80.0, 100.0, 120.0])
@pytest.mark.parametrize("rest", ["in the cycle", "in breaks", "in waiting", "in stops"])
def test_rest_breaks_and_pace_together(rest, performance, breaks):
    """26 + 19 (1 + r) / performance, whatever stands with what: r is there once, and the pace moves work alone."""
    r = 0.15 - breaks * 1.15 / 480 if rest == "in the cycle" else 0.0
    found = case(rest=rest, breaks=breaks, hours=(480 - breaks) / 60, performance=performance)
    seconds, count, _ = molds(found, standard())
    assert seconds == pytest.approx(26 + 19 * (1 + r) * 100 / performance, abs=1e-6)
    assert count == pytest.approx((480 - breaks) * 60 / seconds)


def test_breaks_that_give_more_than_the_allowance_leave_none():
    """90 min of breaks in 480 give more than 15 %: nothing is left for the cycle, and it is not below 0."""
    seconds, _, row = molds(case(breaks=90.0, hours=390 / 60), standard())
    assert seconds == pytest.approx(45.0) and row.rest.in_cycle == 0.0


@pytest.mark.parametrize(
    ("performance", "rest", "cycle_s"),
    [(100.0, "in stops", 45.0), (110.02, "in stops", 43.27), (87.0, "in stops", 47.839), (100.0, "in the cycle", 47.85),
     (126.52, "in the cycle", 43.27)],
)  # fmt: skip
def test_performance_moves_manual_times_alone(performance, rest, cycle_s):
    """26 + 19 (1 + r) / performance: a count of 43.27 s is 110 % without rest in the cycle and 127 % with it."""
    seconds, _, row = molds(case(rest=rest, performance=performance), standard())
    assert seconds == pytest.approx(cycle_s, abs=2e-3) and row.rest.performance == performance / 100


def test_contingency_stays_and_the_basis_does_not_matter():
    """Contingency is no rest: 5 % of it stays in the manual times; an allowance of the shift is the same rest."""
    for basis in ("normal", "shift"):
        one = standard(contingency=0.05, basis=basis)
        rest = rest_of(case(rest="in stops"), case(rest="in stops").methods[0], one)
        assert (rest.allowed, rest.times) == (pytest.approx(0.15), pytest.approx(1.05 / 1.20))
        assert molds(case(rest="in stops"), one)[0] == pytest.approx(26 + 19 * 1.05)


def test_what_if_has_the_same_rest():
    """A change of the chart starts from the cycle with the rest as entered."""
    found = case(rest="in stops")
    before = [change.before.deterministic_s for change in what_ifs(found, [standard()], pair=("HUB", "manual"),
                                                                   replications=20)]  # fmt: skip
    assert before and before == pytest.approx([45.0] * len(before))


def test_a_study_without_whole_cycles_takes_its_rest_too():
    """One lump of the standard time is shortened as its parts would be."""
    lump = replace_cycles(standard())
    assert molds(case(rest="in stops"), lump)[0] == pytest.approx(lump.standard_s / 1.15)
    plain = replace(case(), methods=(replace(case().methods[0], steps=()),))
    assert molds(plain, lump)[0] == pytest.approx(lump.standard_s)


def replace_cycles(one):
    """The study without a complete cycle."""
    one.cycle_standard_s = {}
    return one


@pytest.mark.parametrize(
    ("counted_s", "without", "with_rest"),
    [(45.0, 1.0, 1.15), (43.27, 1.1002, 1.2652), (47.85, 0.8696, 1.0), (49.0, 0.8261, 0.95)],
)
def test_a_count_has_two_readings_of_the_pace(counted_s, without, with_rest):
    """19 (1 + r) / (c - 26) by hand: with rest in the cycle and without; entered, it is the count."""
    seconds, _, row = molds(case(), standard())
    paces = paces_of(row, seconds / counted_s)
    assert paces == pytest.approx((with_rest, without), abs=2e-4)
    assert molds(case(performance=100 * paces[0]), standard())[0] == pytest.approx(counted_s, abs=1e-6)
    assert molds(case(rest="in stops", performance=100 * paces[1]), standard())[0] == pytest.approx(counted_s, abs=1e-6)
    assert paces_of(row, 3.0) is None


PLATE = Stop(cause="plate", station="molding", every_min=45.0, lasts_min=5.0)
BUSY = (replace(STEPS[0], constant_s=1.0), *STEPS[1:])
"""Make 1 s: the operator's 28 s are the whole cycle, and nobody waits."""


@pytest.mark.parametrize(
    ("rest", "stops", "steps", "breaks", "short"),
    [
        ("in stops", (), STEPS, 0.0, 62.61),  # 480 x .15 / 1.15, and no stop to take it in
        ("in stops", (PLATE,), STEPS, 0.0, 14.61),  # less 480 x 5 / 50 = 48
        ("in stops", (PLATE,), STEPS, 20.0, 0.0),  # less 20 of breaks and 460 x 5 / 50
        ("in waiting", (), STEPS, 0.0, 0.0),  # 17 s of waiting in 45 hold 28 x .15 = 4.2 s
        ("in waiting", (), BUSY, 0.0, 62.61),  # no wait at all
        ("in waiting", (), BUSY, 20.0, 42.61),
        ("in the cycle", (), BUSY, 0.0, 0.0),
    ],
)
def test_rest_that_finds_no_place_is_told(rest, stops, steps, breaks, short):
    """Stops not listed, or no wait, give no rest: the minutes by hand, in the sentence and in the note of the case."""
    found = case(rest=rest, breaks=breaks, hours=(480 - breaks) / 60)
    found = replace(found, line=replace(found.line, stops=stops), methods=(replace(found.methods[0], steps=steps),))
    (row,) = [r for r in mold_cycles(found, [standard()], replications=20) if r.pattern == "HUB"]
    assert row.rest.short_min == pytest.approx(short, abs=0.01)
    said = " ".join(sentences.note(note) for note in method_notes(found, [row]))
    assert (f"{short:.0f} min per shift short" in said) is bool(short)
    assert ("half a minute" in said) is (rest == "in waiting")
    assert (f"{short:.1f} min per shift short" in " ".join(sentences.cycle(row))) is bool(short)


@pytest.mark.parametrize(
    ("changed", "asked"),
    [
        ({"methods": 0.95}, "10 to 200 %; is it a share instead of per cent?"),
        ({"line": 1200.0}, "0 to 240 min; is it seconds?"),
    ],
)
def test_a_pace_or_breaks_in_another_unit_are_questioned(changed, asked, tmp_path):
    """A pace of 0.95 for 95 % would make a mold in a minute one in an hour; 1,200 min are no breaks of a shift."""
    found = case(performance=changed.get("methods", 100.0), breaks=changed.get("line", 0.0))
    with pytest.raises(StudyError) as told:
        write(found, tmp_path)
    assert asked in " ".join(str(told.value).split())
