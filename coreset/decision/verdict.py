"""The verdict: options, constraints and value as one value. In: an assessment. Out: `Verdict`, without words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from coreset.case.action import OPEN, Action
from coreset.case.option import MUST_DO
from coreset.decision.constraints import (
    TO_CHANGE,
    Constraint,
    barred,
    constraints,
    jobs_left,
    known_in_full,
    mechanised,
    rule_of,
    unproven,
)
from coreset.decision.exposure import People, method_of_each, people, rotation_of
from coreset.lifting.job_status import STATUSES
from coreset.line.hold_range import NOT_MET, not_taken
from coreset.money.chances import Spread, chance, spread
from coreset.money.decision import LIKELY, SURE
from coreset.money.discount import annuity_factor

NO_MONEY, NOT_FEASIBLE = "no_money", "not_feasible"
BUY, SUBJECT, BY_HAND = "buy", "buy_if_proven", "improve_by_hand"
NOT_DECIDED, DO_NOT_BUY = "not_decided", "do_not_buy"
OBLIGED = "must_do"
"""The plant has marked an option as one that must be done, whatever it is worth."""
LEVELS = (BUY, SUBJECT, OBLIGED, BY_HAND, NOT_DECIDED, DO_NOT_BUY, NOT_FEASIBLE, NO_MONEY)


TAKEN = frozenset((BUY, SUBJECT, OBLIGED, BY_HAND))


@dataclass(frozen=True, slots=True, kw_only=True)
class Rival:
    """The strongest other option; `ahead` is the worth of the option less that of the rival over the same runs.

    `chance` that the option is worth more. `option` None is the current method. [currency]
    """

    option: Any | None
    ahead: Spread
    chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MustDo:
    """A lifting job to be changed whatever is bought, with its worst task; index infinite where RWL is 0.

    `pattern` is empty for the shift in which one person rotates among all patterns.

    `method`, `cost` of what would do it: empty and NaN where no method of the case brings the job within the limit.
    [currency]
    """

    pattern: str
    task: str
    index: float
    method: str
    cost: float
    action: Action | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What to do. `level` is one of LEVELS; `option` the one recommended, else the one that comes nearest.

    `constraints` are those of `option`, `barred` the options that break a hard one, with those they break. `people`:
    load before and after the option. `untimed`: patterns not timed under both methods, where for their sake it is not
    advised against. Without money only `level` and `must_do` are known.
    """

    level: str
    option: Any = None
    constraints: tuple[Constraint, ...] = ()
    rival: Rival | None = None
    barred: tuple[tuple[str, tuple[Constraint, ...]], ...] = ()
    must_do: tuple[MustDo, ...] = ()
    people: People | None = None
    untimed: tuple[str, ...] = ()

    @property
    def recommended(self) -> bool:
        """Whether the option is one to take, at least subject to proof."""
        return self.level in TAKEN


def decide(assessment: Any) -> Verdict:
    """The verdict of a whole assessment.

    Parameters
    ----------
    assessment : Assessment
        The whole job; `money` None where nothing is priced or timed.

    Returns
    -------
    Verdict
        An option that breaks a hard constraint is never recommended, whatever it is worth; one that is not proven only
        subject to the proof. Chances as `money.decision` names them: our own choice, no source.
    """
    money = assessment.money
    if money is None:
        return Verdict(level=NO_MONEY, must_do=must_do(assessment, None))
    rows = [(place, row, constraints(assessment, row)) for place, row in enumerate(money.alternatives)]
    able = [each for each in rows if not barred(each[2])]
    level, (place, option, own) = _chosen(assessment, rows, able)
    untimed = _untimed(assessment, option) if level == DO_NOT_BUY else ()
    return Verdict(
        level=NOT_DECIDED if untimed else level,
        option=option,
        constraints=own,
        rival=_rival(money, place, [each for each in able if each[0] != place]),
        barred=tuple((row.name, _broken(found)) for _, row, found in rows if barred(found)),
        must_do=must_do(assessment, option if level in TAKEN else None),
        people=people(assessment, option),
        untimed=untimed,
    )


def _untimed(assessment: Any, option: Any) -> tuple[str, ...]:
    """Patterns not timed under both methods that could make the purchase pay; none where they could not at their best.

    At best they free all line hours that they take today, of one never timed those of the slowest pattern, and every
    person's hour of them is not paid. The setter is not known to be unable to take them.
    """
    case, money = assessment.case, assessment.money
    today = {row.pattern: row.molds_per_h for row in assessment.line if row.method == case.baseline}
    both = {row.pattern for row in assessment.line if row.method == case.candidate} & today.keys()
    unable = not_taken(case) | {p.pattern for p in case.patterns if p.hold_chance <= 0}
    left = [p for p in case.patterns if p.pattern not in both | unable]
    slowest = min(today.values(), default=math.inf)
    hours = sum(p.molds_per_year.likely / today.get(p.pattern, slowest) for p in left)
    made = min(money.hours_needed, money.hours_available + money.overtime_limit_h)
    per_hour = money.equivalent_annual_cost_baseline / made if made > 0 else 0.0
    most = option.npv.high + hours * per_hour * annuity_factor(money.discount_rate, money.years)
    return tuple(p.pattern for p in left) if most > 0 else ()


def _chosen(assessment: Any, rows: Sequence[Any], able: Sequence[Any]) -> tuple[str, Any]:
    """Level and option: one that must be done, else the best able setter, unless a proven hand method is worth more."""
    if obliged := [each for each in rows if _obliged(assessment.case, each[1])]:
        best = max([each for each in obliged if each in able] or obliged, key=lambda each: each[1].npv.mean)
        return (OBLIGED if best in able else NOT_FEASIBLE), best
    setters = [each for each in able if each[1].patterns and mechanised(assessment.case, each[1].method)]
    hands = [each for each in able if each not in setters and each[1].timed and _pays(each[1])]
    best = max(setters, key=lambda each: each[1].npv.mean, default=None)
    hand = max(hands, key=lambda each: each[1].npv.mean, default=None)
    if hand and (best is None or hand[1].npv.mean >= best[1].npv.mean):
        return BY_HAND, hand
    if best is None:
        return (NOT_FEASIBLE, rows[0]) if mechanised(assessment.case, rows[0][1].method) else (DO_NOT_BUY, rows[0])
    return _level(assessment.money, best[1], best[2]), best


def _obliged(case: Any, option: Any) -> bool:
    rule = rule_of(case, option)
    return rule is not None and rule.rule == MUST_DO


def _pays(option: Any) -> bool:
    return option.chance_npv_positive >= LIKELY


def _level(money: Any, option: Any, own: Sequence[Constraint]) -> str:
    """How strong a recommendation the chance of a positive NPV and the proofs bear."""
    if option.chance_npv_positive <= 1.0 - LIKELY:
        return DO_NOT_BUY
    if not _pays(option) or any(row.status == NOT_MET for row in own) or better_to_wait(money, option):
        return NOT_DECIDED
    if unproven(own) or (option.chance_npv_positive < SURE and any(row.worth_doing for row in money.studies)):
        return SUBJECT
    return BUY


def better_to_wait(money: Any, option: Any) -> bool:
    """Whether buying in a year, with the volumes known, is worth more than the purchase now."""
    return option.name == money.candidate and money.waiting is not None and money.waiting.better


def _rival(money: Any, place: int, able: Sequence[Any]) -> Rival:
    """The able option of the highest worth beside the one chosen, the current method among them."""
    best = max(able, key=lambda each: each[1].npv.mean, default=None)
    best = best if best and best[1].npv.mean > 0 else None
    other = money.worth_draws[:, best[0] + 1] if best else 0.0
    ahead = np.asarray(money.worth_draws[:, place + 1]) - other
    return Rival(option=best[1] if best else None, ahead=spread(ahead), chance=chance(ahead > 0))


def _broken(found: Sequence[Constraint]) -> tuple[Constraint, ...]:
    return tuple(row for row in found if row.hard and row.status == NOT_MET)


def must_do(assessment: Any, option: Any | None) -> tuple[MustDo, ...]:
    """Jobs beyond the equation, or above 3, that stay under the option, the worst first; all of today's without one.

    Among them the shift's rotation where no single job is as bad.
    """
    left = [job for job in jobs_left(assessment, option) if job.status in TO_CHANGE]
    turns = [rotation_of(assessment, each) for each in (None, option)]
    if all(turn is not None and turn.status in TO_CHANGE for turn in turns) and not _as_bad(
        assessment, option, turns[1]
    ):
        left.append(turns[1])
    return tuple(_remedy(assessment, job) for job in left)


def _as_bad(assessment: Any, option: Any | None, turn: Any) -> bool:
    """Whether a single job under the option has a status as bad as the shift in which one person rotates."""
    methods = method_of_each(assessment.case, option)
    worst = STATUSES.index(turn.status)
    return any(STATUSES.index(job.status) <= worst for job in assessment.jobs if methods.get(job.pattern) == job.method)


def _remedy(assessment: Any, job: Any) -> MustDo:
    """The cheapest method by hand under which the job is known in full and need not be changed."""
    case = assessment.case
    good = {
        one.method for one in assessment.jobs if one.pattern == job.pattern and known_in_full(one)
        and one.status not in TO_CHANGE
    }  # fmt: skip
    able = [m for m in case.methods if m.method != case.baseline and not m.mechanised and m.method in good]
    best = min(able, key=lambda m: m.step_cost, default=None)
    return MustDo(
        pattern=job.pattern,
        task=job.worst_task,
        index=job.governing,
        method=best.method if best else "",
        cost=best.step_cost if best else math.nan,
        action=next((one for one in case.actions if _is_open(one, job)), None),
    )


def _is_open(action: Action, job: Any) -> bool:
    return (action.state, action.pattern, action.method) == (OPEN, job.pattern, job.method)
