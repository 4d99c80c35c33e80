"""For each constraint one changed fact of the demo, and the verdict before and after; `pytest -s` prints both."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from coreset.case import Option, Range
from coreset.decision.headline import decision, lines
from tests.test_decision import changed, demo, setter_lifts, strong

PAIR = {"HB10", "VB24"}


def only(codes, **facts):
    """The demo with some of its patterns, and their lifts."""
    case = demo().case
    patterns = tuple(p for p in case.patterns if p.pattern in codes)
    rows = facts.pop("lifts", case.lifts)
    return changed(patterns=patterns, lifts=tuple(row for row in rows if row.pattern in codes), **facts)


def ruled_out():
    """A cheaper offer, best by far, which the plant rules out."""
    cheap = Option(option="offer B", setter_price=Range.exactly(90_000.0))
    return tuple(
        changed(options=(replace(cheap, **rule),)) for rule in ({}, {"rule": "ruled out", "reason": "no guard"})
    )


def heavy():
    """Of two patterns, every lift with the setter is beyond the equation."""
    return only(PAIR), only(PAIR, lifts=setter_lifts(PAIR, horizontal_destination=70.0, hoist=False))


def counted():
    """The floor makes less than the model says, on every pattern."""
    row = SimpleNamespace(pattern="VB24", differs=True)
    sure = only(PAIR, setter=strong(), money={"payback_limit_years": 12.0})
    return sure, replace(sure, today=SimpleNamespace(patterns=(row,), differs=True))


def from_demo(**facts):
    """The demo, and the demo with other facts."""
    return lambda: (demo(), changed(**facts))


OVERTURNED = {
    "ruled_out": (ruled_out, "offer B"),
    "budget": (from_demo(money={"budget": 100_000.0}), "budget below first cost"),
    "line_hours": (from_demo(money={"other_line_hours_per_year": 3_000.0}), "too few line hours"),
    "mask_places": (from_demo(money={"mask_places": 1, "spare_masks": 1}), "too few mask places"),
    "setter_hours": (from_demo(money={"setter_hours_limit": 20.0}), "too few setter hours"),
    "cores": (from_demo(setter={"mask_length": 80.0, "mask_width": 40.0}), "cannot hold or fit the cores"),
    "lifting": (heavy, "lifts beyond the lifting equation"),
    "timing": (lambda: (demo(), only(PAIR)), None),
    "studies": (lambda: (demo(), changed(studies=tuple(replace(s, consent=False) for s in demo().case.studies))), None),
    "floor": (counted, None),
    "payback": (from_demo(money={"payback_limit_years": 1.0}), "a payback under 1 year is only"),
}  # fmt: skip


@pytest.mark.parametrize("key", OVERTURNED)
def test_one_changed_fact_overturns_the_verdict(key):
    """The constraint changes its status, the sentence its words; a hard one that is broken is named in it."""
    make, said = OVERTURNED[key]
    before, after = make()
    print(f"\n{key}\n  before: {decision(before)}\n  after:  {decision(after)}")
    assert (decision(before), lines(before)) != (decision(after), lines(after))
    if key == "ruled_out":
        assert before.verdict.option.name == said != after.verdict.option.name
        assert any("no guard" in line for line in lines(after))
        return
    rows = [{row.key: row.status for row in a.verdict.constraints} for a in (before, after)]
    assert rows[0].get(key, "met") != rows[1][key]
    assert said is None or said in decision(after)


def test_every_constraint_has_its_fact():
    """Those of the demo, that of an option which is ruled out, and a limit that the demo does not have."""
    assert {row.key for row in counted()[1].verdict.constraints} | {"ruled_out", "setter_hours"} == set(OVERTURNED)
