"""A case to learn on: one invented pattern, both methods, one study with its elements and no readings yet."""

from __future__ import annotations

from coreset.case import (
    AllowanceLine,
    Allowances,
    Case,
    Core,
    Element,
    Method,
    Money,
    Pattern,
    Range,
    Step,
    Study,
)
from coreset.text import say

NAME = "practice"
STUDY, PATTERN, SET = "PRACTICE-H1", "PR01", "practice"
ENOUGH_CYCLES = 10
"""Cycles of a first try: enough for an interval, not for a decision."""


def practice_case() -> Case:
    """An invented case in which everything but the readings is there."""
    elements = tuple(
        Element(name=say(f"front.practice.{name}"), breakpoint=say(f"front.practice.{name}_end"))
        for name in ("take", "set", "check")
    )
    manual = Method(
        method="manual",
        title=say("front.practice.manual"),
        steps=tuple(Step(name=e.name, by="operator", element=e.name) for e in elements),
    )
    return Case(
        title=say("front.practice.title"),
        units="metric",
        currency="EUR",
        invented=True,
        money=Money(setter_price=Range.exactly(0.0), wage_per_h=Range.exactly(0.0), discount_rate=0.08),
        allowances=(Allowances(name=SET, basis="normal", lines=(_line("personal", 5.0), _line("fatigue", 4.0))),),
        methods=(manual,),
        patterns=(Pattern(pattern=PATTERN, molds_per_year=Range.exactly(1000.0), runs_per_year=10.0),),
        cores=(Core(pattern=PATTERN, core="C1", mass=3.0),),
        studies=(
            Study(
                study=STUDY,
                method="manual",
                pattern=PATTERN,
                observer="O1",
                operator="W1",
                timing="continuous",
                allowances=SET,
                taken_with="clock",
                elements=elements,
            ),
        ),
    )


def _line(name: str, percent: float) -> AllowanceLine:
    return AllowanceLine(cause=say(f"front.practice.{name}"), percent=percent, source=say("front.practice.assumed"))


def cycles_timed(case: Case) -> int:
    """Cycles with a reading in the studies of a case, all together."""
    return sum(len(set(study.readings.cycle)) for study in case.studies)
