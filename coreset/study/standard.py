"""A study -> its standard time for one mold, with interval, time balance, allowances and what must be told."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Core, Study
from coreset.study import sample_size
from coreset.study.allowances import AppliedAllowances, allowed
from coreset.study.bootstrap import interval
from coreset.study.crew_errors import drawn
from coreset.study.cycle_sums import Sums, cycle_times, per_mold, sums
from coreset.study.element_times import Timed, element_times
from coreset.study.notes import StudyNote, notes
from coreset.study.study_errors import RATER_SD_PCT, StudyErrors, study_errors
from coreset.study.time_balance import Balance, balance


@dataclass(frozen=True, slots=True, kw_only=True)
class ElementTime:
    """One element of a standard. Times `_s` ending in `per_mold` are for one mold, the others for one occurrence."""

    element: str
    kind: str
    occasional: bool
    readings: int
    excluded: int
    missed: int
    failed: int
    mean_s: float
    sd_s: float
    rating_pct: float
    per_mold: float
    observed_s: float
    normal_s: float
    allowance_pct: float
    standard_s: float
    standard_low_s: float
    standard_high_s: float
    readings_needed: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Standard:
    """Standard time of one mold under one method. [s]

    `draws_s`: (resamples,), the standard with all that it errs by. Of one study those are its cycles, its occasional
    elements and its rater; of a pattern and method (`by_pattern`), which speaks of the crew, also operators and days,
    and `element_draws_s` has each element's draws. `timed_low_s` to `timed_high_s`: the interval without operators and
    days. `cycle_standard_s`: standard time of each element in each whole cycle, rows aligned over the elements.
    `rater_sd_pct`, `rater_bias_pct`: error of the rater that is in it, one standard deviation and its known mean, and
    `rater_from`: check (of the observer), study (as typed) or assumed. `operators`: how many were timed.
    `status`: in the register; `version`: of the method; `effective`: day from which it holds, else day of the study.
    `estimated`: from standard data of other patterns, nobody timed it. `with_all_s`: were nothing excluded.
    `cycles_needed_most`: cycles needed at the highest frequencies that the study's own counts leave open.
    """

    study: str
    pattern: str
    method: str
    operator: str = ""
    cycles: int
    observed_s: float
    normal_s: float
    standard_s: float
    standard_low_s: float
    standard_high_s: float
    allowance_pct: float
    allowance_basis: str
    allowance_lines: tuple[Any, ...] = ()
    unaccounted_pct: float
    elements: tuple[ElementTime, ...]
    balance: Balance | None = None
    draws_s: NDArray[np.float64]
    cycle_standard_s: dict[str, NDArray[np.float64]]
    crew: float = 1.0
    rater_sd_pct: float = RATER_SD_PCT
    rater_bias_pct: float = 0.0
    rater_from: str = "assumed"
    timed_low_s: float = math.nan
    timed_high_s: float = math.nan
    operators: int = 1
    operator_sd_pct: float = math.nan
    errors: StudyErrors | None = None
    element_draws_s: dict[str, NDArray[np.float64]] = field(default_factory=dict)
    rating_scale: str = ""
    status: str = "current"
    version: str = "1"
    effective: str = ""
    cycles_needed: int = 0
    cycles_needed_most: int = 0
    precision: float = math.nan
    with_all_s: float = math.nan
    estimated: bool = False
    warnings: tuple[StudyNote, ...] = ()

    @property
    def rater_assumed(self) -> bool:
        """Whether nobody knows how well the observer rates."""
        return self.rater_from == "assumed"


def cores_handled(case: Case, study: Study) -> tuple[Core, ...]:
    """Cores that the elements of a study handle; all of the pattern where they name none but handle some."""
    own = case.cores_of(study.pattern)
    names = {e.core for e in study.elements if e.core}
    named = tuple(core for core in own if core.core in names)
    return named or (own if any(e.cores_handled for e in study.elements) else ())


def standard_of(case: Case, study: Study, *, resamples: int = 10_000, seed: int | None = None) -> Standard:
    """Standard time of one study.

    Parameters
    ----------
    case : Case
        For cores, allowances and the seed.
    study : Study
        One study with its readings, one of them at least a whole element's.
    resamples : int
        Draws of whole cycles.
    seed : int, optional
        Seed of the draws; the case's if None. Each study draws its own stream.

    Returns
    -------
    Standard
        With the 95 % interval of the operator timed: scatter and dependence of the cycles, occasional elements, and a
        common error of the rater on all manual elements.
    """
    timed = element_times(study)
    found = sums(study, timed)
    allow = allowed(case, case.allowance_set(study.allowances), cores_handled(case, study))
    manual = np.array([e.kind == "manual" for e in study.elements])
    factor = np.where(manual, allow.factor, 1.0)
    once = np.ones((1, len(found.cycle)))
    observed = np.nan_to_num(per_mold(found, once, found.observed)[0])
    normal = np.nan_to_num(per_mold(found, once, found.normal)[0])
    cells = cycle_times(found, found.normal) * factor
    regular = np.array([not e.occasional for e in study.elements])
    errors = study_errors(
        case, study, timed, found, standard_s=normal * factor, totals=cells[:, regular].sum(axis=1),
        seed=case.seed if seed is None else seed,
    )  # fmt: skip
    draws = drawn([errors], [1.0], count=resamples, crew=False)
    whole = np.sum(list(draws.values()), axis=0)
    low, high = interval(whole)
    closing = balance(study, timed)
    observed_cycles = cycle_times(found, found.observed).sum(axis=1)
    return Standard(
        study=study.study,
        pattern=study.pattern,
        method=study.method,
        operator=study.operator,
        cycles=int(found.whole.sum()),
        observed_s=float(observed.sum()),
        normal_s=float(normal.sum()),
        standard_s=float(normal @ factor),
        standard_low_s=low,
        standard_high_s=high,
        allowance_pct=allow.percent,
        allowance_basis=allow.basis,
        allowance_lines=allow.lines,
        unaccounted_pct=closing.unaccounted_pct,
        elements=tuple(_rows(study, timed, found, allow, observed=observed, normal=normal, factor=factor, draws=draws)),
        balance=closing,
        draws_s=whole,
        cycle_standard_s={e.name: cells[:, i] for i, e in enumerate(study.elements)},
        crew=study.crew,
        rater_sd_pct=errors.rating.sd_pct,
        rater_bias_pct=errors.rating.bias_pct,
        rater_from=errors.rating.source,
        timed_low_s=low,
        timed_high_s=high,
        errors=errors,
        rating_scale=study.rating_scale,
        status=study.status,
        version=study.version,
        effective=study.effective or study.date,
        cycles_needed=_cycles_needed(study, timed, found, observed),
        cycles_needed_most=_cycles_needed(study, timed, found, observed, most=True),
        precision=sample_size.precision(observed_cycles),
        with_all_s=_with_all(study, factor) if timed.excluded.any() else float(normal @ factor),
        warnings=tuple(notes(study, timed, found, closing=closing, allowances=allow, rater_from=errors.rating.source)),
    )


def _cycles_needed(
    study: Study, timed: Timed, found: Sums, observed: NDArray[np.float64], *, most: bool = False
) -> int:
    """Cycles until the observed time for a mold is within the precision asked for, occasional elements included.

    `most`: each frequency that was counted as high as the count leaves open.
    """
    regular = np.array([not e.occasional for e in study.elements])
    totals = cycle_times(found, found.observed)[:, regular].sum(axis=1)
    rare, mean, happened = [], float(observed.sum()), found.happened.sum(axis=0)
    for i in np.flatnonzero(~regular):
        x = occurrences(timed, int(i))
        if len(x) and x.mean() > 0:
            molds = study.molds_per_cycle
            often, sd = float(observed[i] / x.mean()) * molds, float(x.std(ddof=1)) if len(x) > 1 else 0.0
            if most and found.counted[i]:
                highest = sample_size.most_often(float(happened[i]), len(found.cycle))
                mean += (highest - often) * float(x.mean()) / molds
                often = highest
            rare.append((often, float(x.mean()) / molds, sd / molds, bool(found.counted[i])))
    return sample_size.cycles_needed(totals, mean=mean, occasional=rare)


def _with_all(study: Study, factor: NDArray[np.float64]) -> float:
    found = sums(study, element_times(study, keep_excluded=True))
    return float(np.nan_to_num(per_mold(found, np.ones((1, len(found.cycle))), found.normal)[0]) @ factor)


def occurrences(timed: Timed, element: int) -> NDArray[np.float64]:
    """Observed seconds of the good readings of one element, in the order taken."""
    return timed.seconds[timed.good & (timed.element == element)]


def _rows(
    study: Study,
    timed: Timed,
    found: Sums,
    allow: AppliedAllowances,
    *,
    observed: NDArray[np.float64],
    normal: NDArray[np.float64],
    factor: NDArray[np.float64],
    draws: dict[str, NDArray[np.float64]],
) -> Iterator[ElementTime]:
    for i, element in enumerate(study.elements):
        here = timed.element == i
        once = element.per_mold is None and not element.occasional
        x = found.observed[:, i][found.bottom[:, i] > 0] if once else occurrences(timed, i)
        mean = float(x.mean()) if len(x) else math.nan
        low, high = interval(draws[element.name])
        manual = element.kind == "manual"
        yield ElementTime(
            element=element.name,
            kind=element.kind,
            occasional=element.occasional,
            readings=len(x),
            excluded=int((here & timed.excluded).sum()),
            missed=int((here & timed.missed).sum()),
            failed=int((here & timed.failed).sum()),
            mean_s=mean,
            sd_s=float(x.std(ddof=1)) if len(x) > 1 else math.nan,
            rating_pct=float(np.mean(timed.rating[here & timed.good])) if manual and len(x) else math.nan,
            per_mold=float(observed[i] / mean) if len(x) and mean > 0 else math.nan,
            observed_s=float(observed[i]),
            normal_s=float(normal[i]),
            allowance_pct=allow.percent if manual else 0.0,
            standard_s=float(normal[i] * factor[i]),
            standard_low_s=low,
            standard_high_s=high,
            readings_needed=sample_size.needed(x) if observed[i] and not element.occasional else 0,
        )
