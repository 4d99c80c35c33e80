"""For each constraint one changed fact of the demo, and the verdict before and after; `pytest -s` prints both."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coreset.case import Option, Range
from coreset.decision.constraints import Constraint
from coreset.decision.headline import decision, lines
from coreset.decision.sentences import _obliged, first_sentence
from coreset.decision.verdict import LEVELS, Verdict
from coreset.text import catalogue
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


def stroke():
    """A stroke of 1 m fits the setter's steps; one of 60 m does not [s = 2 sqrt(d / a), as `least_stroke_s`]."""
    return tuple(changed(setter={"stroke_m": metres}) for metres in (1.0, 60.0))


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
    "stroke": (stroke, "stroke longer than the index allows"),
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
    assert len(decision(after).split()) <= 25
    assert (decision(before), lines(before)) != (decision(after), lines(after))
    if key == "ruled_out":
        assert before.verdict.option.name == said != after.verdict.option.name
        assert any("no guard" in line for line in lines(after))
        return
    rows = [{row.key: row.status for row in a.verdict.constraints} for a in (before, after)]
    assert rows[0].get(key, "met") != rows[1][key]
    assert said is None or said in decision(after)


def test_every_constraint_has_its_fact():
    """Those of the demo, that of an option which is ruled out, and limits that the demo does not have."""
    found = {row.key for row in counted()[1].verdict.constraints}
    assert found | {"ruled_out", "setter_hours", "stroke"} == set(OVERTURNED)


KEYS = [key for key in OVERTURNED if key != "ruled_out"]
CODES = st.sampled_from(["HB10", "VB 24", "pump body", "A"])


@settings(max_examples=300, deadline=None)
@given(
    st.sampled_from([level for level in LEVELS if level != "no_money"]),
    st.lists(CODES, min_size=1, max_size=60),
    st.lists(st.sampled_from(KEYS), unique=True),
    st.sampled_from(["", "order of the safety committee after two reports of sore backs in the spring of this year"]),
)
def test_the_first_sentence_has_at_most_25_words(level, patterns, failed, reason):
    """Whatever is not met or not proven, of however many patterns; what has no room is counted or told in a line."""
    option = replace(demo().verdict.option, patterns=tuple(patterns), methods=("core setter",) * len(patterns))
    status = "not_met" if level == "not_feasible" else "not_proven"
    able = "reason" if status == "not_met" else "to_prove"
    known = [key for key in failed if f"decision.{able}.{key}" in catalogue()]
    rows = tuple(Constraint(key=key, status=status, of=tuple(patterns), chance=0.5) for key in known)
    rule = (Option(option=option.name, rule="must do", reason=reason),) if reason else ()
    a = replace(demo(), case=replace(demo().case, options=rule))
    v = Verdict(level=level, option=option, constraints=rows)
    said = first_sentence(v, a)
    assert len(said.split()) <= 25, said
    if level == "must_do" and reason:
        assert reason in said or any(reason in line for line in _obliged(v, a))


FACTS = {
    "budget": st.floats(60_000.0, 400_000.0), "mask_places": st.integers(1, 5), "payback_limit_years": st.floats(1, 9),
    "other_line_hours_per_year": st.floats(0.0, 3_000.0), "second_hand_price": st.floats(50_000.0, 180_000.0),
}  # fmt: skip


@pytest.mark.slow
def test_the_first_sentence_has_at_most_25_words_on_30_random_cases():
    """Facts of the plant and of the setter at random, a few at a time: one sentence, then one to five lines."""
    seen = set()

    @settings(max_examples=30, deadline=None)
    @given(st.fixed_dictionaries({}, optional=FACTS), st.floats(20.0, 95.0), st.integers(1, 400))
    def check(money, kpa, generators):
        a = changed(money=money, setter={"vacuum_max_kpa": kpa, "generators": generators})
        assert len(decision(a).split()) <= 25 and 1 <= len(lines(a)) <= 5
        seen.add(a.verdict.level)

    check()
    assert len(seen) >= 3, seen
