"""From the stopwatch to the schedule: a worked line whose figures an independent event simulation gave, and the words.

The line: a matchplate machine on an accumulating row, cores by hand (fetch 9, set 15, clear 4) or by a setter (load 17,
stroke 8, clear 3), machine 20 and 6 s; 8 places, pourer 17 s, stops at molding and pouring. Seconds for a mold by an
event simulation of 4 x 300 x 10,000 molds [computed]: 45.000 and 37.045 on the line, 47.155 and 39.293 (+- 0.018) with
stops, 49.637 and 41.361 with 5 % other stops.
"""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import plant
import pytest

from coreset.case import Line, Method, Step, Stop
from coreset.line.bridge import STEPS, bridges
from coreset.line.charts import bridge as charts
from coreset.line.mold_cycle import mold_cycles
from coreset.line.rates import rates
from coreset.line.report import bridge as words
from coreset.line.today import FloorCheck, calibrated
from coreset.text import say

HAND = {"make": (20, 0.03), "fetch": (9, 0.25), "set": (15, 0.22), "clear": (4, 0.2)}
SETTER = {"make": (20, 0.03), "fetch": (17, 0.22), "set": (8, 0.04), "clear": (3, 0.2)}
LINE = Line(
    mold_positions=8, pouring_s=17.0, pouring_cv=0.3, cooling_places=120, shakeout_s=12.0, other_stops_pct=5.0,
    stops=(Stop(cause="plate", station="molding", every_min=45.0, lasts_min=3.0),
           Stop(cause="metal", station="pouring", every_min=80.0, lasts_min=6.0)),
)  # fmt: skip


def steps(by="operator"):
    """Fetch waits for nothing, set for fetch and the machine, close for clear."""
    return (
        Step(name="make", by="machine", element="make"),
        Step(name="fetch", by="operator", element="fetch"),
        Step(name="set", by="operator", element="set", after=("make",)),
        Step(name="clear", by="operator", element="clear"),
        Step(name="close", by="machine", constant_s=6.0, source="sheet", after=("clear",)),
    )


def standard(method, times, seed):
    """A study of 4,000 cycles with these lognormal elements."""
    rng = np.random.default_rng(seed)
    rows = {}
    for name, (mean, cv) in times.items():
        s = np.sqrt(np.log1p(cv**2))
        drawn = rng.lognormal(-(s**2) / 2, s, 4_000)
        rows[name] = mean * drawn / drawn.mean()
    machine = {"make", "set"} if method == "core setter" else {"make"}
    manual = sum(mean for name, (mean, _) in times.items() if name not in machine)
    return SimpleNamespace(
        study=method, pattern="HUB", method=method, standard_s=float(manual), draws_s=np.full(9, float(manual)),
        cycle_standard_s=rows, elements=tuple(SimpleNamespace(element=n, kind="machine" if n in machine else "manual")
                                              for n in times),
    )  # fmt: skip


@pytest.fixture(scope="module")
def line():
    """Case, cycles, standards and rates of both methods."""
    methods = (Method(method="manual", steps=steps()), Method(method="core setter", mechanised=True, steps=steps()))
    case = replace(plant.plant(methods=methods, line=LINE), form=2)
    patterns = tuple(replace(p, cooling_min=40.0) for p in case.patterns if p.pattern == "HUB")
    case = replace(case, patterns=patterns)
    timed = [standard("manual", HAND, 1), standard("core setter", SETTER, 2)]
    cycles = mold_cycles(case, timed, replications=200)
    found = rates(case, cycles, replications=200)
    return SimpleNamespace(case=case, cycles=cycles, rates=found, standards={("HUB", t.method): t for t in timed})


def test_each_step_is_that_of_the_event_simulation(line):
    """Standard 28 and 20; fixed 45 and 37; then within 0.4 % of the simulated seconds; savings within 0.25 s."""
    (found,) = bridges(line.case, line.standards, line.cycles, line.rates)
    told = {step.step: (step.now_s, step.then_s, step.saved_s) for step in found.steps}
    assert tuple(told) == tuple(step for step in STEPS if step != "counted")
    assert told["standard"] == pytest.approx((28.0, 20.0, 8.0))
    assert told["mold_cycle_fixed"] == pytest.approx((45.0, 37.0, 8.0), abs=0.01)
    expected = {"mold_cycle": (45.0, 37.045), "line": (45.0, 37.045), "stops": (47.155, 39.293),
                "schedule": (49.637, 41.361)}  # fmt: skip
    for step, seconds in expected.items():
        assert told[step][:2] == pytest.approx(seconds, rel=4e-3), step
        assert told[step][2] == pytest.approx(seconds[0] - seconds[1], abs=0.25), step
    assert sum(step.passed_s for step in found.steps) == pytest.approx(found.steps[-1].saved_s - 8.0)
    for rate, at in zip(line.rates, ("now_s", "then_s"), strict=True):
        assert getattr(found.steps[-1], at) == pytest.approx(3600 / rate.changed[0])
        assert getattr(found.steps[-2], at) == pytest.approx(3600 / rate.molds_per_h)


def test_a_slow_pourer_holds_the_saving_back(line):
    """With a pourer of 40 s the saving on the line is 5.00 s (45.00 -> 40.00), with stops 4.60 +- 0.04 [computed]."""
    case = replace(line.case, line=replace(LINE, pouring_s=40.0))
    (found,) = bridges(case, line.standards, line.cycles, rates(case, line.cycles, replications=200))
    told = {step.step: step for step in found.steps}
    assert told["mold_cycle"].saved_s == pytest.approx(7.96, abs=0.1)
    assert told["line"].saved_s == pytest.approx(5.0, abs=0.25)
    assert (told["stops"].now_s, told["stops"].then_s) == pytest.approx((48.079, 43.484), rel=6e-3)


def test_words_and_document_are_the_same(line):
    """Rows, answer and JSON say the same saving and reason; a count has a step of its own; no method, no bridge."""
    check = FloorCheck(patterns=(), factor=(0.9, 0.85, 0.95), sd=0.03, differs=True)
    (found,) = bridges(line.case, line.standards, line.cycles, calibrated(line.rates, check, seed=1))
    assert tuple(step.step for step in found.steps) == STEPS
    (document,) = words.as_document([found])
    table = words.bridge_rows(found)
    for step, row, plain in zip(found.steps, table, document["steps"], strict=True):
        assert plain["name"] == row["step"] and plain["reason"] == row["reason"] and "{" not in row["reason"]
        assert row["saved, s/mold (95 %)"].replace("\u2212", "-").split(" (")[0] == f"{step.saved_s:.2f}"
        assert step.low_s <= step.saved_s <= step.high_s and plain["low_s"] == step.low_s
        now, then = (float(part) for part in plain["working"].split(" − "))
        assert now - then == pytest.approx(step.saved_s, abs=0.011)
    assert "0.900 times" in document["steps"][-2]["reason"] and "5.0 %" in document["steps"][5]["reason"]
    assert document["answer"] == words.answer(found)
    assert bridges(line.case, line.standards, line.cycles, line.rates[:1]) == ()


def test_the_picture_chains_the_steps_from_the_stopwatch_to_the_schedule(line):
    """Bars from 8.0 s (28 - 20, by hand) to the scheduled saving (49.637 - 41.361 = 8.3 s [computed]), each from where
    the last one ended; a step that changes nothing has no bar; the sentence says both ends."""
    (found,) = bridges(line.case, line.standards, line.cycles, line.rates)
    shown = charts.bars(found)
    assert shown[0]["to"] == pytest.approx(8.0) and shown[-1]["to"] == found.steps[-1].saved_s
    chain = [shown[0]["to"], *(row["to"] for row in shown[1:-1])]
    assert [row["from"] for row in shown[1:-1]] == chain[:-1]
    assert {row["step"] for row in shown[1:-1]} == {
        words.name(step) for step in found.steps[1:] if abs(step.passed_s) >= charts.SHOWN_S
    }
    assert chain[-1] == pytest.approx(shown[-1]["to"], abs=charts.SHOWN_S * len(found.steps))
    spec = charts.bridge(found).to_dict()
    assert "8.0 s per mold saved at the stopwatch" in spec["title"] and "8.0 s per mold" in words.answer(found)


def test_the_step_that_loses_most_is_named(line):
    """With a pourer of 40 s some 3 s are lost at the line (7.96 - 5.00 [computed]): the sentence says where and why."""
    case = replace(line.case, line=replace(LINE, pouring_s=40.0))
    (found,) = bridges(case, line.standards, line.cycles, rates(case, line.cycles, replications=200))
    assert f"“{say('line.bridge.line')}”" in words.answer(found) and "Pouring" in words.answer(found)
