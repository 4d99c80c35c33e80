"""What `coreset log` does: reads a log of molds, says what it holds, writes its counts into the case."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from coreset.case import Case
from coreset.line.log_analysis import LogAnalysis, analyze
from coreset.line.log_gaps import Schedule
from coreset.report.numbers import number
from coreset.rounding import fixed
from coreset.store.folder import write
from coreset.store.folder.line_log import read_log
from coreset.text import say

PERCENT = 100.0
MOST_CLASS_MIN = 1e9


def analyzed(case: Case, file: Path, columns: dict[str, str], shift: tuple[float, float]) -> LogAnalysis:
    """The analysis of a log; `shift` is when the first begins and how long one is on the clock, 0 as the case's. [h]

    Parameters
    ----------
    case : Case
        Its shifts.
    file : Path
        The log.
    columns : dict of str
        Names of the columns of time and pattern, and the form of the time.
    shift : (float, float)
        When the first shift begins, and how long one is on the clock; 0 takes the case's. [h]
    """
    log = read_log(file, **columns)
    per_day = max(1, round(case.line.shifts_per_day))
    schedule = Schedule(first_h=shift[0], length_h=shift[1] or case.line.hours_per_shift, per_day=per_day)
    return analyze(log.times_s, log.pattern, log.names, schedule)


def told(found: LogAnalysis) -> list[str]:
    """Sentences: what was counted, the threshold of each pattern, stops by length, breaks, drift."""
    said = [
        say(
            "cli.log.molds",
            molds=number(found.molds),
            shifts=number(found.shifts),
            hours=number(found.scheduled_h),
            lost=fixed(found.lost_at_ends_h, 1),
            doubles=found.doubles,
            moved=found.moved_labels,
            outside=found.outside,
            order=found.out_of_order,
        )
    ]
    said += [say("cli.log.coarse")] if found.coarse else []
    said += [_pattern(row, found.coarse) for row in found.patterns]
    for low, high, count, hours in () if found.coarse else found.stop_classes:
        span = f"{low:g}–{high:g}" if high < MOST_CLASS_MIN else f"> {low:g}"
        said.append(say("cli.log.stops", span=span, count=number(count), hours=fixed(hours, 1)))
    for clock, minutes, share in found.breaks:
        at = f"{int(clock):02d}:{int(clock * 60 % 60):02d}"
        said.append(say("cli.log.break", at=at, minutes=fixed(minutes), share=fixed(PERCENT * share)))
    if found.drift[0] == found.drift[0]:
        drift = dict(zip(("ratio", "low", "high"), (fixed(value, 3) for value in found.drift), strict=True))
        said.append(say("cli.log.drift", **drift))
    return said


def _pattern(row: Any, coarse: bool) -> str:
    change = fixed(row.changeover_min, 1) if row.changeovers else "–"
    blanks = {"pattern": row.pattern, "molds": number(row.molds), "runs": row.runs, "change": change}
    if coarse:
        return say("cli.log.coarse_pattern", **blanks)
    return say(
        "cli.log.pattern",
        cycle=fixed(row.cycle_s, 1),
        cv=fixed(PERCENT * row.cycle_cv),
        most=fixed(row.threshold_s, 1),
        stops=number(row.stops),
        share=fixed(PERCENT * row.stop_share, 1),
        **blanks,
    )


def save(case: Case, folder: Path, found: LogAnalysis) -> tuple[int, tuple[str, ...]]:
    """Write the counts into the case in place of those of an earlier log; how many, and patterns it does not have.

    Parameters
    ----------
    case : Case
        The case as read.
    folder : Path
        Where it is written.
    found : LogAnalysis
        With the counts of each shift and pattern.
    """
    known = {pattern.pattern for pattern in case.patterns}
    kept = tuple(count for count in case.counts if count.source != "log")
    taken = tuple(count for count in found.counts if count.pattern in known)
    write(replace(case, counts=(*kept, *taken)), folder)
    return len(taken), tuple(sorted({count.pattern for count in found.counts} - known))
