"""One handling task as it was rated: both ends, what limits the result, the carry on top, and the job it is part of."""

from __future__ import annotations

import math
from dataclasses import dataclass

from coreset.lifting.en_iso import Carrying, Factored


@dataclass(frozen=True, slots=True, kw_only=True)
class RatedEnd:
    """One end of one task: multipliers, recommended weight limit and index; None where the method gives none."""

    rwl: float | None
    li: float | None
    hm: float
    vm: float
    dm: float
    am: float
    fm: float
    cm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeJob:
    """The job that a task is part of, at its standard pace: all lifts that one person does for a mold.

    `kind` CLI or VLI; `index` None where nothing should be lifted in one of its tasks or at their summed frequency;
    `tasks` how many it has; `at_least` why the index is a lower limit, as codes; `rising` the sum that rises with
    every load and pace, None where it has no value.
    """

    kind: str
    index: float | None
    tasks: int
    at_least: tuple[str, ...]
    rising: float | None = None

    @property
    def governing(self) -> float:
        """The larger of the published index and the rising sum; infinite where there is no index. [-]"""
        return math.inf if self.index is None else max(self.index, self.rising or 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Screened:
    """One handling task, screened.

    `applies` says whether the method gives an answer for the task; `why_not` why there is no index, as codes: what is
    not covered, or the limit that is passed, where RWL is 0. `at_least` are conditions of the method that the task does
    not meet: the index is then a lower limit, RWL an upper one. `carrying` is the carry that comes on top of the lift,
    `job` the job of several lifts that the task is part of. `end` is the end that governs, `binding` its smallest
    multiplier. `frequency_from`: standard, run, override, or empty where no standard is known. `limits` are codes of
    what narrows the result. `status` is the weakest status of the figures it rests on. `li` is for the usual load,
    `li_largest` for the largest one. `team` rates a load that several lift, which the equation itself does not cover.
    """

    pattern: str
    method: str
    task: str
    mass: float
    frequency_per_min: float
    frequency_from: str
    duration: str
    applies: bool
    why_not: tuple[str, ...]
    at_least: tuple[str, ...]
    li: float | None
    rwl: float | None
    carrying: Carrying | None
    binding: str
    end: str
    origin: RatedEnd
    destination: RatedEnd
    limits: tuple[str, ...]
    status: str
    job: WholeJob | None = None
    li_largest: float | None = None
    team: Factored | None = None

    @property
    def governing(self) -> float:
        """The worst of index, carrying share, team and job: infinite where RWL is 0, NaN if none is known. [-]"""
        if self.applies and self.li is None:
            return math.inf
        known = [self.li, self.li_largest, self.carrying.share if self.carrying else None]
        if self.team is not None:
            known.append(self.team.index)
        if self.job is not None:
            known.append(self.job.governing)
        return max((value for value in known if value is not None), default=math.nan)
