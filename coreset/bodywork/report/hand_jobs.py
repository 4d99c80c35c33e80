"""COSI and CUSI in rows and working: several tasks of one hand, several patterns of a shift."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from coreset.report.numbers import number
from coreset.rounding import fixed
from coreset.sources import used
from coreset.text import say
from coreset.working import Working


def several(jobs: Iterable[Any]) -> tuple[Any, ...]:
    """Jobs of several tasks, and shifts of several patterns."""
    return tuple(job for job in jobs if len(job.tasks) > 1)


def named(jobs: Iterable[Any]) -> dict[str, int]:
    """Name and place of each, for a list to choose from."""
    names = (say("handling.hand_jobs.working", pattern=_name(job), method=job.method) for job in jobs)
    return {name: place for place, name in enumerate(names)}


def hand_job_rows(jobs: Iterable[Any]) -> list[dict[str, str]]:
    """Each with its tasks or patterns, its minutes of a mean shift, and its index."""
    names = [word.strip() for word in say("handling.hand_jobs.heads").split("|")]
    return [
        dict(
            zip(
                names,
                (_name(job), job.method, ", ".join(job.tasks), number(job.minutes), fixed(job.total.index, 1)),
                strict=True,
            )
        )
        for job in jobs
    ]


def working(job: Any) -> list[Working]:
    """What each task or pattern adds, the worst first, and the sum."""
    rule = "COSI" if job.pattern else "CUSI"
    rests = used("garg2017cosi", f"{rule}-sum")
    formula = say(f"handling.hand_jobs.{rule.lower()}_formula")
    total = job.total
    parts = [
        Working(what=job.tasks[place], formula=formula, numbers=f"{fixed(alone, 3)} × {fixed(share, 4)}",
                value=alone * share, **rests)
        for place, alone, share in zip(total.order, total.indices, total.shares, strict=True)
    ]  # fmt: skip
    numbers = " + ".join(fixed(added, 3) for added in total.increments)
    return [*parts, Working(what=rule, formula="Σ", numbers=numbers, value=total.index, **rests)]


def _name(job: Any) -> str:
    return job.pattern or say("handling.hand_jobs.day")
