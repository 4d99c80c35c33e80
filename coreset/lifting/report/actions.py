"""Actions on lifting jobs in words: which are overdue, all of them as rows, and a new one begun from a job."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from coreset.case import Action
from coreset.case.action import OPEN, overdue
from coreset.lifting.report.status import index_text
from coreset.text import say

NAMED = 5
"""Overdue actions that are named one by one."""
HEADS = ("job", "change", "owner_due", "state", "indices")


def job_of(one: Any) -> str:
    """Pattern and method that an action, or a job, is about."""
    return say("handling.status.name", pattern=one.pattern, method=one.method)


def action_text(one: Action) -> str:
    """An action in a few words: what, of which job, by whom and until when."""
    return say("handling.action.row", change=one.change, job=job_of(one), owner=one.owner, due=one.due)


def overdue_sentence(actions: Sequence[Action], day: str, *, told: str = "") -> str:
    """How many actions are overdue on a day, and which; empty where none is, or all were `told` for another day.

    Parameters
    ----------
    actions : sequence of Action
        All of the case.
    day : str
        Day asked about, YYYY-MM-DD.
    told : str
        Day for which they were told already; empty if for none.
    """
    late = overdue(actions, day)
    if not late or late == overdue(actions, told):
        return ""
    more = [say("handling.action.more", count=len(late) - NAMED)] if len(late) > NAMED else []
    parts = "; ".join([*map(action_text, late[:NAMED]), *more])
    return say("handling.action.overdue", count=len(late), day=day, parts=parts)


def reassess_sentence(actions: Iterable[Action], day: str) -> str:
    """Jobs whose day of reassessment is past; empty where none is."""
    jobs = list(dict.fromkeys(job_of(one) for one in actions if day and "" < one.reassess_by < day))
    return say("handling.action.reassess", jobs="; ".join(jobs)) if jobs else ""


def action_rows(actions: Iterable[Action], day: str) -> list[dict[str, str]]:
    """All actions, open ones first by their day; an overdue one says so."""
    late = set(overdue(actions := list(actions), day))
    ordered = sorted(actions, key=lambda one: (one.state != OPEN, one.due, one.action))
    names = [say(f"handling.action.column.{head}") for head in HEADS]
    return [dict(zip(names, _cells(one, one in late), strict=True)) for one in ordered]


def _cells(one: Action, late: bool) -> list[str]:
    return [
        job_of(one),
        one.change,
        say("handling.action.owner_due", owner=one.owner, due=one.due),
        say("handling.action.late") if late else say(f"handling.action.state.{one.state}"),
        say("handling.action.indices", before=index_text(one.index_before), after=index_text(one.index_after)),
    ]


def begun(jobs: Sequence[Any], actions: Sequence[Action]) -> dict[str, Action]:
    """A new action for each job of a pattern, by the name of the job: its worst task, and its index before.

    Parameters
    ----------
    jobs : sequence of JobStatus
        Worst first.
    actions : sequence of Action
        Those there are: a new one has another name.
    """
    taken = {one.action for one in actions}
    number = next(n for n in range(len(taken) + 1, 2 * len(taken) + 3) if f"A{n}" not in taken)
    return {
        job_of(job): Action(
            action=f"A{number}",
            pattern=job.pattern,
            method=job.method,
            task=job.worst_task,
            change="",
            owner="",
            due="",
            index_before=round(job.governing, 2) if math.isfinite(job.governing) else None,
        )
        for job in jobs
        if job.pattern
    }
