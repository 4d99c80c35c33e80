"""Lifting so seldom that the manual allows the short duration class whatever the shift: the index it would give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from coreset.case import Case
from coreset.lifting.constants import DURATIONS
from coreset.lifting.duration import may_be_short
from coreset.lifting.screened_task import Screened
from coreset.lifting.task_values import TaskAt, index_of, task_at


@dataclass(frozen=True, slots=True, kw_only=True)
class Seldom:
    """A task lifted seldom: its index as it stands, and at the short duration."""

    pattern: str
    task: str
    index: float
    short: float


def short_index(task: TaskAt) -> float | None:
    """Index of a task at the short duration; None where the manual does not allow it."""
    if not may_be_short(task.values["frequency_per_min"], task.duration, units=task.units):
        return None
    return float(index_of(replace(task, duration=DURATIONS[0])))


def seldom(case: Case, screened: Sequence[Screened]) -> tuple[Seldom, ...]:
    """Every task with an index that the manual allows to be rated at the short duration."""
    found = []
    for lift, row in zip(case.lifts, screened, strict=True):
        if row.li is None:
            continue
        short = short_index(task_at(case, lift, row))
        if short is not None:
            found.append(Seldom(pattern=row.pattern, task=row.task, index=row.li, short=short))
    return tuple(found)
