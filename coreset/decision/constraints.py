"""What an option must keep: each constraint met, not met or not proven. In: assessment, option. Out: constraints.

The proof of what is not proven is named and priced.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from coreset.case import Case, Option
from coreset.case.option import RULED_OUT, with_setter
from coreset.decision.exposure import rotation_of
from coreset.lifting.job_status import HOIST, STATUSES
from coreset.line.hold_range import MET, NOT_MET, NOT_PROVEN, taken
from coreset.line.setter_limits import too_short_strokes
from coreset.money.decision import LIKELY

UNACCOUNTED_PCT = 2.0
"""Share of the elapsed time unaccounted for above which a study proves nothing: common practice, no source."""
TO_CHANGE = frozenset({"beyond", "above_3"})
"""Statuses of a lifting job that is to be changed whatever is bought: above 3 [waters1994], or no lift allowed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Constraint:
    """One constraint on one option.

    `key`: ruled_out, budget, line_hours, mask_places, setter_hours, cores, stroke, lifting, timing, studies, floor or
    payback.
    `status`: met, not_met, not_proven. `hard`: an option that does not meet it is never recommended. `of`: patterns or
    studies that it fails for, an empty name for the shift's rotation; `why`: codes. `chance` that it is met, NaN where
    there is none. `proof`: what would prove it, empty where nothing is to be proven; `cost` of that proof, NaN where it
    has not been entered. [currency]
    """

    key: str
    status: str
    hard: bool = True
    of: tuple[str, ...] = ()
    why: tuple[str, ...] = ()
    chance: float = math.nan
    proof: str = ""
    cost: float = math.nan


def constraints(assessment: Any, option: Any) -> tuple[Constraint, ...]:
    """Every constraint on one option.

    Parameters
    ----------
    assessment : Assessment
        The whole job, with money.
    option : Alternative
        One row of `money.alternatives`.

    Returns
    -------
    tuple of Constraint
        Limits of the plant first, then the setter, people, evidence, and the payback that the plant accepts.
    """
    case = assessment.case
    rule = rule_of(case, option)
    found = [] if rule is None or rule.rule != RULED_OUT else [_ruled_out(rule)]
    found += [
        _limit(case, option, "budget", option.chance_budget),
        _limit(case, option, "line_hours", option.chance_hours),
    ]
    if mechanised(case, option.method):
        found += [_limit(case, option, "mask_places")]
        if case.money.setter_hours_limit is not None:
            found += [_limit(case, option, "setter_hours", option.chance_setter_hours)]
        found += [_cores(case, option), *_stroke(assessment, option)]
    found += [_lifting(assessment, option), _timing(assessment, option), _studies(assessment, option)]
    found += _floor(assessment)
    return tuple(found + [_payback(case, option)])


def mechanised(case: Case, method: str) -> bool:
    """Whether a method needs the setter; one that the case does not describe does."""
    return next((m.mechanised for m in case.methods if m.method == method), True)


def on_setter(case: Case, option: Any) -> tuple[str, ...]:
    """Patterns of an option that go over to the setter."""
    over = zip(option.patterns, option.methods, strict=True)
    return tuple(code for code, method in over if mechanised(case, method))


def rule_of(case: Case, option: Any) -> Option | None:
    """The option of the case that an alternative values; None for the purchase, leased, used and methods."""
    return next((each for each in case.options if each.option == option.name), None)


def _ruled_out(option: Option) -> Constraint:
    """The plant takes the option on no account, for the reason that it states."""
    return Constraint(key="ruled_out", status=NOT_MET, of=(option.reason,))


def _limit(case: Case, option: Any, key: str, chance: float = math.nan) -> Constraint:
    """A limit of the plant: broken at the means, or not likely enough to be kept over the runs."""
    if any(need.limit == key for need in option.needs):
        return Constraint(key=key, status=NOT_MET, chance=chance)
    if chance < LIKELY:
        cost = case.money.volume_quote_cost or math.nan
        proof, cost = ("quote", math.nan) if key == "budget" else ("volume_quote", cost)
        return Constraint(key=key, status=NOT_PROVEN, chance=chance, proof=proof, cost=cost)
    return Constraint(key=key, status=MET, chance=chance)


def _cores(case: Case, option: Any) -> Constraint:
    """Every core of every pattern of the option held and fitting the mask, by range and by the plant's own judgment."""
    all_, over = taken(with_setter(case, option.name)), on_setter(case, option)
    rows = [row for row in all_ if row.pattern in over]
    chances = {p.pattern: p.hold_chance for p in case.patterns if p.pattern in over}
    for status in (NOT_MET, NOT_PROVEN):
        failed = [row for row in rows if row.status == status]
        if failed and status == NOT_MET and len(failed) == len(rows):
            failed = [row for row in all_ if row.status == status]
        doubted = [code for code, chance in chances.items() if chance < 1.0 and status == NOT_PROVEN]
        if failed or doubted:
            of = tuple(dict.fromkeys([*(row.pattern for row in failed), *doubted]))
            why = tuple(dict.fromkeys(code for row in failed for code in row.why))
            cost = case.money.vacuum_trial_cost or math.nan
            chance = math.prod(chances.values()) if doubted else math.nan
            proof = "vacuum_trial" if status == NOT_PROVEN else ""
            return Constraint(key="cores", status=status, of=of, why=why, chance=chance, proof=proof, cost=cost)
    return Constraint(key="cores", status=MET)


def _stroke(assessment: Any, option: Any) -> list[Constraint]:
    """The setter's stroke within its steps, for which the index waits; no constraint where no stroke is stated."""
    case = with_setter(assessment.case, option.name)
    if case.setter.stroke_m <= 0:
        return []
    over = set(zip(option.patterns, option.methods, strict=True))
    rows = too_short_strokes(case, assessment.mold_cycles)
    short = [code for code, method, *_ in rows if (code, method) in over]
    return [Constraint(key="stroke", status=NOT_MET if short else MET, of=tuple(short))]


def jobs_created(assessment: Any, option: Any) -> list[Any]:
    """Lifting jobs that the option brings: those of its methods for the patterns that go over."""
    over = set(zip(option.patterns, option.methods, strict=True))
    return [job for job in assessment.jobs if (job.pattern, job.method) in over]


def jobs_left(assessment: Any, option: Any | None) -> list[Any]:
    """Lifting jobs that an option leaves with the current method; all of them without one. Not the shift's rotation."""
    gone = {""} if option is None else {"", *option.patterns}
    return [job for job in assessment.jobs if job.method == assessment.case.baseline and job.pattern not in gone]


def rotation_worse(assessment: Any, option: Any) -> list[Any]:
    """The shift's rotation where it is to be changed under the option and its status was not as bad under today's."""
    now, then = rotation_of(assessment, None), rotation_of(assessment, option)
    if then is None or then.status not in TO_CHANGE:
        return []
    as_bad = now is not None and STATUSES.index(now.status) <= STATUSES.index(then.status)
    return [] if as_bad else [then]


def known_in_full(job: Any) -> bool:
    """Whether the status of a job is no lower limit, or its lifts are borne by a hoist."""
    return job.because == (HOIST,) if job.status == "not_covered" else not job.at_least


def _lifting(assessment: Any, option: Any) -> Constraint:
    """No job, nor the shift's rotation, that the option brings beyond the equation.

    One above 3, or not known in full, is not proven.
    """
    jobs, turn = jobs_created(assessment, option), rotation_worse(assessment, option)
    if beyond := [job.pattern for job in (*jobs, *turn) if job.status == "beyond"]:
        return Constraint(key="lifting", status=NOT_MET, of=tuple(beyond), why=("beyond",))
    unrated = [code for code in option.patterns if code not in {job.pattern for job in jobs}]
    high = [job.pattern for job in (*jobs, *turn) if job.status == "above_3"]
    partly = [job.pattern for job in jobs if not known_in_full(job)]
    found = {"no_lift": unrated, "above_3": high, "not_covered": partly}
    if why := tuple(code for code, patterns in found.items() if patterns):
        of = tuple(code for code in (*option.patterns, "") if code in {*unrated, *high, *partly})
        proof, cost = ("lower_lifts", math.nan) if high else ("rate_lifts", 0.0)
        return Constraint(key="lifting", status=NOT_PROVEN, of=of, why=why, proof=proof, cost=cost)
    return Constraint(key="lifting", status=MET)


def _pairs(case: Case, option: Any) -> Iterable[tuple[str, str]]:
    over = zip(option.patterns, option.methods, strict=True)
    return ((code, method) for code, then in over for method in (case.baseline, then))


def _timing(assessment: Any, option: Any) -> Constraint:
    """Both methods timed for each pattern of the option: not estimated, taken to be as fast as today, or claimed."""
    case, pooled = assessment.case, assessment.pooled
    missing = [pair for pair in _pairs(case, option) if pair not in pooled]
    guessed = [pair for pair in _pairs(case, option) if pair in pooled and pooled[pair].estimated]
    of = tuple(dict.fromkeys(code for code, _ in (*missing, *guessed)))
    why, proof = ("not_timed",) if missing else ("estimated",), "cycles"
    rule = rule_of(case, option)
    if rule is not None and rule.claim(case.candidate):
        of, why, proof = on_setter(case, option), ("claimed",), "claimed_cycle"
    if not of:
        return Constraint(key="timing", status=MET)
    today = [pooled[code, case.baseline].cycles for code in of if (code, case.baseline) in pooled]
    cost = case.money.study_cost_per_cycle * sum(today) or math.nan
    return Constraint(key="timing", status=NOT_PROVEN, of=of, why=why, proof=proof, cost=cost)


def _studies(assessment: Any, option: Any) -> Constraint:
    """The studies that the option rests on: consent noted, and the elapsed time accounted for."""
    pairs = set(_pairs(assessment.case, option))
    silent = [s.study for s in assessment.case.studies if (s.pattern, s.method) in pairs and not s.consent]
    loose = [
        row.study
        for row in assessment.standards
        if (row.pattern, row.method) in pairs and row.unaccounted_pct > UNACCOUNTED_PCT
    ]
    if not silent and not loose:
        return Constraint(key="studies", status=MET)
    why = (*(("consent",) if silent else ()), *(("unaccounted",) if loose else ()))
    of = tuple(dict.fromkeys([*silent, *loose]))
    return Constraint(key="studies", status=NOT_PROVEN, of=of, why=why, proof="repeat_study")


def _floor(assessment: Any) -> list[Constraint]:
    """Molds per hour of today's method as counted on the floor; no constraint where nothing was counted."""
    check = getattr(assessment, "today", None)
    if check is None:
        return []
    of = tuple(row.pattern for row in check.patterns if row.differs)
    if not check.differs and not of:
        return [Constraint(key="floor", status=MET)]
    of = of or tuple(row.pattern for row in check.patterns)
    return [Constraint(key="floor", status=NOT_PROVEN, of=of, proof="floor")]


def _payback(case: Case, option: Any) -> Constraint:
    """The longest payback that the plant accepts: a rule on money, not a hard limit."""
    if not case.money.payback_limit_years:
        return Constraint(key="payback", status=MET, hard=False)
    chance = option.chance_payback
    status = MET if chance >= LIKELY else NOT_MET if chance <= 1.0 - LIKELY else NOT_PROVEN
    return Constraint(key="payback", status=status, hard=False, chance=chance)


def barred(found: Sequence[Constraint]) -> bool:
    """Whether an option breaks a hard constraint, so that it is never recommended."""
    return any(row.hard and row.status == NOT_MET for row in found)


def unproven(found: Sequence[Constraint]) -> tuple[Constraint, ...]:
    """Constraints that are not proven."""
    return tuple(row for row in found if row.status == NOT_PROVEN)
