"""Standards of a case: one a study, and those of one pattern and method pooled."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.study.bootstrap import interval
from coreset.study.counting import counting, groups
from coreset.study.crew_errors import between, drawn
from coreset.study.element_times import element_times
from coreset.study.estimate import estimated
from coreset.study.standard import Standard, standard_of
from coreset.study.study_errors import PERCENT


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
    """Standards of one pattern and method pooled, those that count, each study by its cycles: those of the crew.

    An estimate is one already.
    """
    return {key: rows[0] if rows[0].estimated else _pooled(rows) for key, rows in groups(counting(found)).items()}


def _pooled(rows: list[Standard]) -> Standard:
    errors = [row.errors for row in rows if row.errors is not None]
    cycles = np.array([row.cycles for row in rows], float)
    weight = cycles / cycles.sum() if cycles.sum() else np.full(len(rows), 1 / len(rows))
    timed, crew = (drawn(errors, weight.tolist(), count=len(rows[0].draws_s), crew=crew) for crew in (False, True))
    ends = [interval(np.sum(list(draws.values()), axis=0)) for draws in (timed, crew)]

    def mean(name: str) -> float:
        return float(sum(w * getattr(row, name) for w, row in zip(weight, rows, strict=True)))

    return replace(
        rows[0],
        study=" + ".join(row.study for row in rows),
        operator=" + ".join(dict.fromkeys(row.operator for row in rows)),
        operators=len({row.operator for row in rows}),
        operator_sd_pct=PERCENT * between(errors).mean_sds()[0],
        cycles=sum(row.cycles for row in rows),
        observed_s=mean("observed_s"),
        normal_s=mean("normal_s"),
        standard_s=mean("standard_s"),
        standard_low_s=ends[1][0],
        standard_high_s=ends[1][1],
        timed_low_s=ends[0][0],
        timed_high_s=ends[0][1],
        allowance_pct=mean("allowance_pct"),
        with_all_s=mean("with_all_s"),
        draws_s=np.sum(list(crew.values()), axis=0),
        element_draws_s=crew,
        cycle_standard_s=_cycles(rows, weight),
        cycles_needed=max(row.cycles_needed for row in rows),
        cycles_needed_most=max(row.cycles_needed_most for row in rows),
        warnings=tuple(note for row in rows for note in row.warnings),
    )


def _cycles(rows: list[Standard], weight: NDArray[np.float64]) -> dict[str, NDArray[np.float64]]:
    """Whole cycles of all studies one after another, each regular element at the mean of all studies.

    So cycles differ as within a study, not as operators do; an element that a study lacks took none of its time.
    """
    names = dict.fromkeys(name for row in rows for name in row.cycle_standard_s)
    rare = {element.element for row in rows for element in row.elements if element.occasional}
    found = {}
    for name in names:
        parts = [row.cycle_standard_s.get(name, np.zeros(row.cycles)) for row in rows]
        means = [float(part.mean()) if len(part) else 0.0 for part in parts]
        if name not in rare and min(means) > 0:
            parts = [part * (weight @ means / mean) for part, mean in zip(parts, means, strict=True)]
        found[name] = np.concatenate(parts)
    return found
