"""The bridge from the stopwatch to the schedule in words: each step with its reason and its working."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from coreset.report.numbers import number
from coreset.rounding import fixed
from coreset.text import say

Row = dict[str, str]
WORTH_SAYING_S = 0.05
"""A loss below it is none in a figure of one decimal. [s]"""


def name(step: Any) -> str:
    """A step in words."""
    return say(f"line.bridge.{step.step}")


def reason(bridge: Any, step: Any) -> str:
    """Why seconds change at a step."""
    return say(f"line.bridge.because.{step.step}", other=fixed(bridge.other_pct, 1), factor=fixed(bridge.factor, 3))


def working(step: Any) -> str:
    """The saving at a step, from the seconds under both methods."""
    return f"{fixed(step.now_s, 2)} − {fixed(step.then_s, 2)}"


def bridge_rows(bridge: Any) -> list[Row]:
    """One row a step."""
    heads = {key: say(f"line.bridge.column.{key}") for key in ("step", "working", "saved", "passed", "reason")}
    return [
        {
            heads["step"]: name(step),
            heads["working"]: working(step),
            heads["saved"]: f"{number(step.saved_s, 2)} ({number(step.low_s, 2)} – {number(step.high_s, 2)})",
            heads["passed"]: number(step.passed_s, 2) if at else "",
            heads["reason"]: reason(bridge, step),
        }
        for at, step in enumerate(bridge.steps)
    ]


def ends(bridge: Any) -> dict[str, str]:
    """The saving at both ends of the bridge, as sentence and picture say it."""
    first, last = bridge.steps[0], bridge.steps[-1]
    return {"pattern": bridge.pattern, "first": number(first.saved_s, 1), "last": number(last.saved_s, 1)}


def answer(bridge: Any) -> str:
    """What is saved at the stopwatch and on the schedule, and the step at which most is lost, if one is."""
    last = bridge.steps[-1]
    interval = {"low": number(last.low_s, 1), "high": number(last.high_s, 1)}
    blanks = {"baseline": bridge.baseline, "candidate": bridge.candidate}
    said = say("line.bridge.answer", **ends(bridge), **interval, **blanks)
    return " ".join(filter(None, (said, lost(bridge))))


def lost(bridge: Any) -> str:
    """The step at which most of the saving is lost, and why; empty where nothing is."""
    worst = min(bridge.steps[1:], key=lambda step: step.passed_s)
    if worst.passed_s > -WORTH_SAYING_S:
        return ""
    blanks = {"step": name(worst), "seconds": number(-worst.passed_s, 1), "reason": reason(bridge, worst)}
    return say("line.bridge.lost", **blanks)


def as_document(bridges: Iterable[Any]) -> list[dict[str, Any]]:
    """Bridges with fixed keys; words as every output says them."""
    return [
        {
            "pattern": one.pattern,
            "baseline": one.baseline,
            "candidate": one.candidate,
            "answer": answer(one),
            "steps": [
                {
                    "step": step.step,
                    "name": name(step),
                    "now_s": step.now_s,
                    "then_s": step.then_s,
                    "saved_s": step.saved_s,
                    "low_s": step.low_s,
                    "high_s": step.high_s,
                    "passed_s": step.passed_s,
                    "working": working(step),
                    "reason": reason(one, step),
                }
                for step in one.steps
            ],
        }
        for one in bridges
    ]
