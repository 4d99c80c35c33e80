"""What is to be changed about a lifting job, by whom and until when: a row of actions.csv."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from coreset.case.fields import Code, NotNegative, says
from coreset.case.study import Picture

OPEN, DONE, DROPPED = "open", "done", "dropped"


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """One change of one job: a row of actions.csv. Days are written as 2026-03-31."""

    action: Code = says("short name of the action, unlike any other of the case")
    pattern: Code = says("pattern of the job")
    method: Code = says("method of the job")
    task: str = says("task that is changed; empty for the whole job", default="")
    change: Code = says("what will be changed")
    owner: Code = says("code of the person who sees to it")
    due: Code = says("day by which it is done")
    state: Literal["open", "done", "dropped"] = says("whether it is open, done, or dropped", default=OPEN)
    index_before: NotNegative | None = says("index of the job before the change; empty where RWL is 0", default=None)
    index_after: NotNegative | None = says("index of the job after the change, measured again", default=None)
    measured: str = says("day on which it was measured again", default="")
    assessor: str = says("code of the person who assessed the job", default="")
    assessed: str = says("day on which it was assessed", default="")
    reassess_by: str = says("day by which the job is assessed again", default="")
    photo: str = says("name or place of a photo, in the plant's own files", default="")
    picture: Picture = says("photo of the job for its record: a small JPEG as a data address", default="")
    note: str = says("anything worth knowing; why there is no index after, where it is done without one", default="")


def overdue(actions: Iterable[Action], day: str) -> tuple[Action, ...]:
    """Open actions whose day is past, the longest overdue first; none where no day is given.

    Examples
    --------
    >>> a = Action(action="A1", pattern="P", method="m", change="rack nearer", owner="SC1", due="2026-03-01")
    >>> [one.action for one in overdue([a], "2026-03-02")], overdue([a], "2026-03-01"), overdue([a], "")
    (['A1'], (), ())
    """
    late = (one for one in actions if one.state == OPEN and day and one.due < day)
    return tuple(sorted(late, key=lambda one: (one.due, one.action)))


def of_job(actions: Iterable[Action], pattern: str, method: str) -> list[Action]:
    """Actions of one job, the latest day first.

    Parameters
    ----------
    actions : iterable of Action
        Those of a case.
    pattern, method : str
        The job.
    """
    own = [one for one in actions if (one.pattern, one.method) == (pattern, method)]
    return sorted(own, key=lambda one: one.due, reverse=True)
