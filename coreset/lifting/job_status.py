"""Status of every lifting job: what the composite index and the single lifts behind it come to, the worst of both."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from coreset.case import Case, Lift
from coreset.lifting.bands import bands
from coreset.lifting.composite import SAME
from coreset.lifting.exposure import method_by_pattern
from coreset.lifting.pace_and_mix import Rotation, rotation
from coreset.lifting.screened_task import Screened

STATUSES = ("beyond", "above_3", "above_1", "not_covered", "at_least", "within")
"""From the worst: beyond the equation's limits, above 3, above 1, not covered, at least, 1 or less."""
NO_LIFTS, LEFT_OUT, HOIST, TEAM = "no_lifts", "left_out", "hoist", "team"
GOAL, MOST = (band.to for band in bands("1994")[:2])
"""1 and 3, the two limits of the manual [waters1994]."""
LEVEL = 1.0
"""Share of a carrying limit above which a carry is beyond it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobStatus:
    """Status of one job: a pattern under a method, or the shift in which one person rotates (`pattern` empty).

    `index` is that of its `kind` (LI, CLI, VLI, SLI; team: with a team's factor), or None; `governing` what the
    status follows from: the worst of it, of the sum that rises with every load, of each single lift at its largest
    load and of each carry; infinite where RWL is 0, NaN where nothing is known. `at_least` says why it is a lower
    limit, `because` what decides the status, both as codes. All lifts are taken as one person's, whatever `operators`.
    """

    pattern: str
    method: str
    operators: int
    index: float | None
    kind: str
    status: str
    at_least: tuple[str, ...]
    worst_task: str
    because: tuple[str, ...]
    governing: float = math.nan

    @property
    def rank(self) -> tuple[int, float]:
        """Place in a list, worst first."""
        return STATUSES.index(self.status), -self.governing if self.governing == self.governing else 0.0


def job_statuses(case: Case, standards: Iterable[Any], screened: Sequence[Screened]) -> tuple[JobStatus, ...]:
    """Status of every job, worst first: each pattern under each method, and the shift's rotation of each method.

    Parameters
    ----------
    case : Case
        Its patterns, methods and lifts.
    standards : iterable of Standard
        Standard times per mold.
    screened : sequence of Screened
        Its tasks with their jobs, from `with_jobs`.

    Returns
    -------
    tuple of JobStatus
        Also for a pattern that has no lift under one of the methods compared: nothing is known of it.

    References
    ----------
    [waters1994] section 2.4.5 and its limits of 1 and 3; the cautious choices where it is silent are our own.
    """
    by_job: dict[tuple[str, str], list[Screened]] = {
        (pattern.pattern, method): [] for pattern in case.patterns for method in (case.baseline, case.candidate)
    }
    for row in screened:
        by_job.setdefault((row.pattern, row.method), []).append(row)
    standards = tuple(standards)
    operators = {method.method: method.operators for method in case.methods}
    found = [_of_pattern(key, rows, operators.get(key[1], 1)) for key, rows in by_job.items()]
    shifts = [
        shift_status(case, standards, screened, found, method=method) for method in dict.fromkeys(m for _, m in by_job)
    ]
    return tuple(sorted([*found, *filter(None, shifts)], key=lambda one: one.rank))


def shift_status(
    case: Case,
    standards: Iterable[Any],
    screened: Iterable[Screened],
    jobs: Iterable[JobStatus],
    *,
    method: str | Mapping[str, str],
) -> JobStatus | None:
    """Status of the shift in which one person rotates among all patterns; None where there are not two to rotate among.

    Parameters
    ----------
    case, standards, screened
        As for :func:`job_statuses`.
    jobs : iterable of JobStatus
        Status of every pattern's job.
    method : str or mapping of str to str
        Method of all patterns, or of each.
    """
    methods = method_by_pattern(case, method)
    turn = rotation(case, standards, method=methods)
    if turn is None or turn.slots < 2:
        return None
    apart = {(lift.pattern, lift.method, lift.task) for lift in case.lifts if _of_set_up(lift)}
    indices = [
        row.governing
        for row in screened
        if (row.pattern, row.method, row.task) in apart and methods.get(row.pattern) == row.method
    ]
    own = [one for one in jobs if one.pattern and methods.get(one.pattern) == one.method]
    return _of_rotation(turn, own, max(indices, default=0.0))


def status_of(governing: float, at_least: Sequence[str]) -> str:
    """Status of a job whose index, and every lift of it, is known.

    Examples
    --------
    >>> [status_of(x, ()) for x in (1.0, 1.01, 3.01, math.inf)], status_of(0.8, ["hot"])
    (['within', 'above_1', 'above_3', 'beyond'], 'at_least')
    """
    if governing == math.inf:
        return "beyond"
    if governing > GOAL:
        return "above_3" if governing > MOST else "above_1"
    return "at_least" if at_least else "within"


def _of_pattern(key: tuple[str, str], rows: Sequence[Screened], operators: int) -> JobStatus:
    """Status of one pattern under one method from its screened tasks."""
    silent = [row for row in rows if not row.applies]
    known = [row for row in rows if row.governing == row.governing]
    worst = max(known, key=lambda row: row.governing, default=None)
    lacking = tuple(dict.fromkeys(code for row in silent for code in row.why_not if code != HOIST))
    if worst is None:
        codes = lacking or ((HOIST,) if rows else (NO_LIFTS,))
        task = silent[0].task if silent else ""
        return _job(key, operators, index=None, kind="", status="not_covered", worst_task=task, because=codes)
    kind, index = _index(worst, known)
    unmet = [code for row in known for code in (*row.at_least, *(row.job.at_least if row.job else ()))]
    at_least = tuple(dict.fromkeys((*unmet, *((LEFT_OUT,) if lacking else ()))))
    governing, because = _deciding(worst)
    status = status_of(governing, at_least)
    if lacking and STATUSES.index(status) > STATUSES.index("not_covered"):
        status, because = "not_covered", lacking
    found: dict[str, Any] = {
        "at_least": at_least,
        "worst_task": _worst_lift(known).task,
        "because": because,
        "governing": governing,
    }
    return _job(key, operators, index=index, kind=kind, status=status, **found)


def _job(key: tuple[str, str], operators: int, *, at_least: tuple[str, ...] = (), **what: Any) -> JobStatus:
    return JobStatus(pattern=key[0], method=key[1], operators=operators, at_least=at_least, **what)


def _worst_lift(known: Sequence[Screened]) -> Screened:
    """The single lift or carry that is worst by itself."""
    return max(known, key=lambda row: math.inf if row.li is None and row.applies else max(_alone(row)))


def _alone(row: Screened) -> tuple[float, ...]:
    team = row.team.index if row.team else 0.0
    return row.li or 0.0, row.li_largest or 0.0, row.carrying.share if row.carrying else 0.0, team


def _index(worst: Screened, known: Sequence[Screened]) -> tuple[str, float | None]:
    """Kind and published index of a job: of the whole where it has several lifts, else of its worst lift."""
    job = next((row.job for row in known if row.job is not None), None)
    lone = max((row.li for row in known if row.li is not None), default=None)
    if worst.governing == math.inf:
        return ("LI" if job is None else job.kind), None
    teams = [row.team.index for row in known if row.team is not None]
    if teams and max(teams) > max(lone or 0.0, (job.index or 0.0) if job else 0.0):
        return TEAM, max(teams)
    if job is None or job.index is None or (lone is not None and lone > job.index):
        return "LI", lone
    return job.kind, job.index


def _deciding(worst: Screened) -> tuple[float, tuple[str, ...]]:
    """What the status follows from, and its reasons: a carry beyond its limit is above 1, never above 3."""
    job, carry = worst.job, worst.carrying.share if worst.carrying else 0.0
    lift = max(worst.li or 0.0, worst.li_largest or 0.0)
    if worst.applies and worst.li is None:
        return math.inf, worst.why_not
    if job is not None and job.index is None:
        return math.inf, ("job_limit",)
    whole = job.governing if job is not None else 0.0
    team = worst.team.index if worst.team is not None else 0.0
    if team > max(lift, whole):
        return team, ("team",)
    index = max(lift, whole)
    if carry > max(index, LEVEL):
        return max(index, min(carry, MOST)), ("carrying_limit",)
    if whole > lift:
        return index, ("composite",) if job is not None and job.index is not None and job.index >= whole * (
            1 - SAME
        ) else ("composite", "order")
    return index, ("single",) if (worst.li or 0.0) >= lift else ("single", "largest")


def _of_set_up(lift: Lift) -> bool:
    """Whether a lift is done apart from the molds, so that no composite index counts it."""
    return bool(lift.lifts_per_run) and not (lift.lifts_per_mold or lift.frequency_per_min)


def _of_rotation(turn: Rotation, jobs: Sequence[JobStatus], apart: float) -> JobStatus:
    """Status of a shift in which one person does every pattern in turn.

    `jobs` are those of its method, `apart` is the worst of its set-up lifts, which no sequential index counts.
    """
    lacking = [code for one in jobs if one.status == "not_covered" for code in one.because if code != HOIST]
    codes = [code for one in jobs for code in one.at_least] + [LEFT_OUT] * bool(lacking)
    governing = max(turn.governing, apart if apart == apart else 0.0)
    status = status_of(governing, codes)
    because: tuple[str, ...] = ("rotation",) if governing == turn.governing else ("single",)
    if lacking and STATUSES.index(status) > STATUSES.index("not_covered"):
        status, because = "not_covered", tuple(dict.fromkeys(lacking))
    worst = min(jobs, key=lambda one: one.rank)
    return JobStatus(
        pattern="",
        method=worst.method,
        operators=worst.operators,
        index=turn.index if math.isfinite(turn.index) else None,
        kind="SLI",
        status=status,
        at_least=tuple(dict.fromkeys(codes)),
        worst_task=worst.worst_task,
        because=because,
        governing=governing,
    )
