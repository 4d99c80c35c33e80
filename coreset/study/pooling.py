"""Standards of a case: one a study, and those of one pattern and method pooled."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.study.bootstrap import interval
from coreset.study.counting import counting, groups
from coreset.study.element_times import element_times
from coreset.study.estimate import estimated
from coreset.study.standard import Standard, standard_of


def standards(case: Case, *, resamples: int = 10_000, seed: int | None = None) -> tuple[Standard, ...]:
    """Standard time of every study, in file order; then estimates of what nobody timed, where they can be made.

    Parameters
    ----------
    case : Case
        The case with its studies.
    resamples : int
        Draws of whole cycles a study.
    seed : int, optional
        Seed; the case's own if None.

    Returns
    -------
    tuple of Standard
        One a study in which any element was read whole and not set aside, and one marked `estimated` for each pattern
        and method without a study for which enough other patterns were timed.
    """
    timed = tuple(
        standard_of(case, study, resamples=resamples, seed=seed)
        for study in case.studies
        if element_times(study).good.any()
    )
    return timed + estimated(case, by_pattern(timed), resamples=resamples, seed=seed)


def by_pattern(found: Iterable[Standard]) -> dict[tuple[str, str], Standard]:
    """Standards of one pattern and method pooled, those that count, each study by its whole cycles."""
    return {key: rows[0] if len(rows) == 1 else _pooled(rows) for key, rows in groups(counting(found)).items()}


def _pooled(rows: list[Standard]) -> Standard:
    cycles = np.array([row.cycles for row in rows], float)
    weight = cycles / cycles.sum() if cycles.sum() else np.full(len(rows), 1 / len(rows))

    def mean(name: str) -> float:
        return float(sum(w * getattr(row, name) for w, row in zip(weight, rows, strict=True)))

    draws = _draws(rows, weight)
    low, high = interval(draws)
    return replace(
        rows[0],
        study=" + ".join(row.study for row in rows),
        operator=" + ".join(dict.fromkeys(row.operator for row in rows)),
        cycles=int(cycles.sum()),
        observed_s=mean("observed_s"),
        normal_s=mean("normal_s"),
        standard_s=mean("standard_s"),
        standard_low_s=low,
        standard_high_s=high,
        allowance_pct=mean("allowance_pct"),
        with_all_s=mean("with_all_s"),
        draws_s=draws,
        cycle_standard_s=_cycles(rows),
        cycles_needed=max(row.cycles_needed for row in rows),
        warnings=tuple(note for row in rows for note in row.warnings),
    )


def between_sd(rows: list[Standard]) -> float:
    """Scatter between studies beyond that within them, by moments: 0 where they agree. [s]

    References
    ----------
    Method of moments for a random effect of the study (operator, day); named a simple mixed effect, no source.
    """
    means = np.array([row.standard_s for row in rows])
    within = float(np.mean([np.var(row.draws_s) for row in rows]))
    return float(np.sqrt(max(0.0, means.var(ddof=1) - within)))


def _draws(rows: list[Standard], weight: NDArray[np.float64]) -> NDArray[np.float64]:
    size = min(len(row.draws_s) for row in rows)
    pooled = np.sum([w * row.draws_s[:size] for w, row in zip(weight, rows, strict=True)], axis=0)
    spread = between_sd(rows) * np.sqrt(float(weight @ weight))
    return np.maximum(pooled + spread * np.random.default_rng([size, len(rows)]).standard_normal(size), 0.0)


def _cycles(rows: list[Standard]) -> dict[str, NDArray[np.float64]]:
    """Whole cycles of all studies one after another; an element that a study lacks took none of its time.

    So the mean cycle is the pooled standard, whether the study has that work in another element or has not seen it.
    """
    names = dict.fromkeys(name for row in rows for name in row.cycle_standard_s)
    return {
        name: np.concatenate([row.cycle_standard_s.get(name, np.zeros(row.cycles)) for row in rows]) for name in names
    }
