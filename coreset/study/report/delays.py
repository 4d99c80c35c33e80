"""Studies of delays in a table and in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from coreset.case import Case
from coreset.report.blocks import heads
from coreset.report.numbers import NONE, ends
from coreset.rounding import fixed
from coreset.study.delay_study import DelayStudy
from coreset.study.work_sampling import looks_needed, random_times
from coreset.text import say
from coreset.units import MIN_PER_H

GOAL = 0.02
"""Half-width of a share of all looks that is aimed at, common practice, no source."""


def delay_rows(found: Iterable[DelayStudy]) -> list[list[str]]:
    """One row a study and cause: its share of basic time with the interval, and of all that was watched."""
    return [
        [one.study, say(f"study.delays.{one.counted}"), str(one.shifts), fixed(one.watched), cause,
         fixed(share.percent, 1), ends(share.low, share.high, digits=1) if one.shifts > 1 else NONE,
         fixed(share.of_watched, 1)]
        for one in found
        for cause, share in one.shares.items()
    ]  # fmt: skip


def delay_table(found: Iterable[DelayStudy]) -> list[dict[str, str]]:
    """The same rows under their heads."""
    return [dict(zip(heads("delays"), row, strict=True)) for row in delay_rows(found)]


def look_lines(case: Case, *, looks: int, days: int, seed: int) -> Iterator[str]:
    """Random times at which to look in the next shifts, a line a day; none for no looks.

    Parameters
    ----------
    case : Case
        Line with the hours of its shift.
    looks : int
        Looks in a shift.
    days : int
        Shifts, one a day.
    seed : int
        Of the first day's times; the next day takes the next number.
    """
    minutes = int(case.line.hours_per_shift * MIN_PER_H)
    for day in range(days if looks else 0):
        times = random_times(looks, minutes=minutes, seed=seed + day)
        at = ", ".join(f"{minute // 60}:{minute % 60:02d}" for minute in times)
        yield say("study.delays.times", day=day + 1, times=at)


def delay_sentences(found: Iterable[DelayStudy]) -> Iterator[str]:
    """Too few shifts, days that differ beyond chance or stand out, and the looks that would do."""
    for one in found:
        if one.few:
            yield say("study.delays.few", study=one.study, shifts=one.shifts)
        if one.steady is None:
            continue
        if one.steady.out:
            days = ", ".join(str(day + 1) for day in one.steady.out)
            yield say("study.delays.out", study=one.study, days=days)
        if one.steady.p_value < 0.05:
            yield say("study.delays.differ", study=one.study, ratio=fixed(one.steady.ratio, 1))
        if 0 < one.steady.p < 1:
            needed = looks_needed(one.steady.p, error=GOAL) * max(1.0, one.steady.ratio if one.shifts > 1 else 1.0)
            yield say("study.delays.needed", study=one.study, needed=fixed(needed), seen=fixed(one.watched))
