"""Sentences on handling: what may be lifted, the index, why there is none, and what the screen is not."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from coreset.case import UNIT_SETS
from coreset.lifting.report.status import (
    MASS_DIGITS,
    carry_text,
    index_text,
    job_text,
    part_sentence,
    why_not,
)
from coreset.rounding import fixed
from coreset.text import say


def binding(name: str | None) -> str:
    """What binds, in words with its symbol.

    Examples
    --------
    >>> binding("hm"), binding(None)
    ('horizontal reach (HM)', 'nothing: every multiplier is 1')
    """
    return f"{say(f'handling.multiplier.{name}')} ({name.upper()})" if name else say("handling.multiplier.none")


def index_sentence(
    *,
    mass: float,
    units: str,
    rwl: float | None,
    li: float | None,
    bound: str,
    codes: tuple[str, ...],
    digits: int = 2,
    at_least: tuple[str, ...] = (),
) -> str:
    """The answer on one lift in a sentence: the index, marked where it is a lower limit, or why there is none.

    Parameters
    ----------
    mass : float
        Load. [mass]
    units : {"metric", "us"}
        Unit set.
    rwl, li : float or None
        Limit [mass] and index [-], None where there is none.
    bound : str
        Multiplier that costs most.
    codes : tuple of str
        Why there is no index.
    digits : int
        Decimals of the index.
    at_least : tuple of str
        Codes of what the index leaves out.
    """
    unit = UNIT_SETS[units]["mass"]
    if rwl is None:
        return say("handling.lift.not_covered", why=why_not(codes))
    if li is None:
        return say("handling.lift.nothing", why=why_not(codes))
    numbers = {"li": fixed(li, digits), "mass": fixed(mass, MASS_DIGITS), "rwl": fixed(rwl, MASS_DIGITS)}
    key = "at_least" if at_least else "answer"
    return say(f"handling.lift.{key}", unit=unit, binding=binding(bound), **numbers)


def task_sentence(row: Any, units: str) -> str:
    """The answer on one screened task, what its own index leaves out, and the carry on top."""
    own = index_sentence(
        mass=row.mass,
        units=units,
        rwl=row.rwl,
        li=row.li,
        bound=row.binding,
        codes=row.why_not,
        at_least=row.at_least,
    )
    return " ".join(filter(None, [own, part_sentence(row), carry_text(row.carrying)]))


def label_of(row: Any) -> str:
    """Pattern and task of a screened lift."""
    return f"{row.pattern} · {row.task}"


def worst_first(screened: Iterable[Any]) -> list[Any]:
    """Tasks where nothing may be lifted, then by the worst of index, carry and job, then those that are not covered."""
    return sorted(screened, key=rank)


def rank(row: Any) -> tuple[bool, bool, float]:
    """Place of a task in a list, worst first.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> rank(SimpleNamespace(applies=True, li=0.8, governing=1.6))
    (False, True, -1.6)
    """
    known = row.governing == row.governing
    return not known, row.li is not None or not row.applies, -row.governing if known else 0.0


def weighed(screened: Sequence[Any]) -> dict[str, int]:
    """Tasks whose load is known, worst first, each by what it is called in a list, with its place."""
    places = {id(row): place for place, row in enumerate(screened)}
    known = [row for row in worst_first(screened) if row.mass == row.mass]
    return {f"{label_of(row)} ({row.method})": places[id(row)] for row in known}


def answer(screened: Sequence[Any], *, limit: float = 1.0) -> str:
    """The page's answer: how many tasks and jobs are above the plant's limit, the worst, and what is not known."""
    if not screened:
        return say("handling.answer.none")
    zero = [row for row in screened if row.applies and row.li is None]
    silent = [row for row in screened if not row.applies]
    parts = []
    if zero:
        worst = zero[0]
        parts.append(
            say(
                "handling.answer.zero",
                count=len(zero),
                all=len(screened),
                task=label_of(worst),
                why=why_not(worst.why_not),
            )
        )
    parts += [_rated(screened, limit), _jobs(screened, limit), _carried(screened), _unmet(screened)]
    if silent:
        parts.append(say("handling.answer.silent", count=len(silent)))
    return " ".join(filter(None, parts))


def _rated(screened: Sequence[Any], limit: float) -> str:
    """How many tasks alone are above the limit, and the worst with what binds it."""
    known = [row for row in screened if row.li is not None]
    if not known:
        return ""
    worst = max(known, key=lambda row: row.li)
    return say(
        f"handling.answer.{'above' if worst.li > limit else 'within'}",
        count=sum(row.li > limit for row in known),
        all=len(known),
        limit=fixed(limit, 1),
        task=label_of(worst),
        method=worst.method,
        li=index_text(worst.li, worst.at_least),
        binding=binding(worst.binding),
    )


def _jobs(screened: Sequence[Any], limit: float) -> str:
    """How many jobs of several lifts are above the limit, and the worst of them; empty without any such job."""
    jobs = {(row.pattern, row.method): row.job for row in screened if row.job is not None}
    if not jobs:
        return ""
    over = {pair: float("inf") if job.index is None else job.index for pair, job in jobs.items()}
    worst = max(over, key=lambda pair: over[pair])
    return say(
        "handling.answer.jobs",
        count=sum(index > limit for index in over.values()),
        all=len(jobs),
        limit=fixed(limit, 1),
        pattern=worst[0],
        method=worst[1],
        index=job_text(jobs[worst]),
    )


def _carried(screened: Sequence[Any]) -> str:
    """How many carries are beyond their limits; empty where none is."""
    over = [row for row in screened if row.carrying is not None and row.carrying.share > 1]
    return say("handling.answer.carried", count=len(over), task=label_of(over[0])) if over else ""


def _unmet(screened: Sequence[Any]) -> str:
    """How many tasks do not meet the conditions of the method, and which; empty where all do."""
    codes = dict.fromkeys(code for row in screened for code in row.at_least)
    count = sum(bool(row.at_least) for row in screened)
    return say("handling.answer.at_least", count=count, why=why_not(codes)) if codes else ""


def methods_text(curves: Iterable[Any]) -> str:
    """Methods with their index at standard pace, joined.

    Examples
    --------
    >>> methods_text([])
    ''
    """
    return ", ".join(
        say("handling.pace.at", method=c.method, kind=c.kind, index=index_text(c.standard_index, c.at_least))
        for c in curves
    )


def limits_of(screened: Iterable[Any]) -> list[str]:
    """What narrows the results: climate, rows of the table from memory."""
    rows = list(screened)
    found = [say(f"handling.limit.{code}") for code in dict.fromkeys(code for row in rows for code in row.limits)]
    if any(row.status == "memory" and row.li is not None for row in rows):
        found.append(say("handling.lift.memory"))
    return found


def methods_of(screened: Iterable[Any], *first: str) -> list[str]:
    """Methods of the tasks, those named first in their order, then the others as they come.

    Examples
    --------
    >>> methods_of([], "manual", "core setter")
    ['manual', 'core setter']
    """
    return list(dict.fromkeys([*first, *(row.method for row in screened)]))
