"""The bridge from the stopwatch to the schedule in words: each step with its reason and its working."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from coreset.report.numbers import number
from coreset.rounding import fixed
from coreset.text import say

Row = dict[str, str]


def name(step: Any) -> str:
    """A step in words."""
    return say(f"line.bridge.{step.step}")


def reason(bridge: Any, step: Any) -> str:
    """Why seconds change at a step."""
    return say(f"line.bridge.because.{step.step}", other=fixed(bridge.other_pct, 1), factor=fixed(bridge.factor, 3))


def working(step: Any) -> str:
    """The saving at a step, from the seconds under both methods."""
    return f"{fixed(step.now_s, 2)} − {fixed(step.then_s, 2)}"


def rows(bridge: Any) -> list[Row]:
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


def answer(bridge: Any) -> str:
    """What of the saving at the stopwatch arrives on the schedule."""
    first, last = bridge.steps[0].saved_s, bridge.steps[-1].saved_s
    blanks = {"pattern": bridge.pattern, "first": number(first, 1), "last": number(last, 1)}
    return say("line.bridge.answer", baseline=bridge.baseline, candidate=bridge.candidate, **blanks)


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
