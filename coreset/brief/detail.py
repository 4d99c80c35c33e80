"""What the pages calculate beside the assessment, for a whole case at once, to leave as tables and charts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from coreset.lifting import pace_and_mix, redesign, task_values
from coreset.lifting.uncertainty import spreads
from coreset.line.pattern_line import look_closer
from coreset.line.setter_hold import fits
from coreset.line.what_if import what_ifs
from coreset.study.distribution_fit import fits_or_none
from coreset.study.estimate import data
from coreset.study.method_pairs import pairs
from coreset.study.run_order import in_order
from coreset.study.series import series


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Detail:
    """By study: whole cycles, their order, their shapes. By pattern: changes, runs of the line, index against pace.

    `tasks` holds each rated task at its end that binds, with what would improve it, by its row of the screen.
    """

    pairs: tuple[Any, ...]
    series: dict[str, Any]
    ordered: dict[str, Any]
    shapes: dict[str, Any]
    data: tuple[Any, ...]
    changes: dict[str, tuple[Any, ...]]
    closer: dict[str, Any]
    fits: tuple[Any, ...]
    curves: dict[str, tuple[Any, ...]]
    mixes: dict[str, Any]
    spreads: tuple[Any, ...]
    tasks: tuple[tuple[Any, Any, tuple[Any, ...]], ...]


def _silent(share: float) -> None:
    """Progress that nobody watches."""


def detail(assessment: Any, *, progress: Callable[[float], None] = _silent) -> Detail:
    """Everything that follows from a case beside its assessment.

    Parameters
    ----------
    assessment : Assessment
        The whole job.
    progress : callable
        Told the share done; the runs of the line take most of the time.
    """
    case, pooled = assessment.case, list(assessment.pooled.values())
    timed = {study.study: series(study) for study in case.studies if len(study.readings)}
    patterns = list(dict.fromkeys(row.pattern for row in assessment.mold_cycles))
    closer = {}
    for done, pattern in enumerate(patterns):
        progress(done / len(patterns))
        closer[pattern] = look_closer(case, assessment.mold_cycles, pattern, assessment.line, seed=assessment.seed)
    return Detail(
        pairs=pairs(case, assessment.counting, assessment.pooled),
        series=timed,
        ordered={study: in_order(row.kept) for study, row in timed.items()},
        shapes={study: fits_or_none(row.kept) for study, row in timed.items()},
        data=data(case, assessment.pooled),
        changes={pattern: _changes(assessment, pattern) for pattern in patterns},
        closer=closer,
        fits=fits(case),
        curves={
            pattern: pace_and_mix.curves(case, pooled, pattern)
            for pattern in dict.fromkeys(r.pattern for r in case.lifts)
        },
        mixes={method: pace_and_mix.job_mix(case, pooled, method=method) for method in (case.baseline, case.candidate)},
        spreads=tuple(spreads(case, assessment.handling, assessment.pooled, seed=assessment.seed)),
        tasks=tuple(_tasks(assessment)),
    )


def _changes(assessment: Any, pattern: str) -> tuple[Any, ...]:
    """What could be changed in a pattern's cycle under the method weighed, else under the one there is."""
    case = assessment.case
    methods = [row.method for row in assessment.mold_cycles if row.pattern == pattern]
    method = case.candidate if case.candidate in methods else methods[-1]
    return tuple(what_ifs(case, assessment.pooled.values(), pair=(pattern, method)))


def _tasks(assessment: Any) -> Any:
    for lift, row in zip(assessment.case.lifts, assessment.handling, strict=True):
        if row.applies:
            task = task_values.task_at(assessment.case, lift, row)
            yield row, task, redesign.ideal_multipliers(task)
