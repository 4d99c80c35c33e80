"""Every pattern timed under both methods: the candidate against the current method, on cycles and for the crew."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.study.attempts import TriesCompared, broken_off, compare_tries
from coreset.study.bootstrap import interval
from coreset.study.comparison import Compared, ValueWithInterval, compare, paired
from coreset.study.counting import counting
from coreset.study.standard import Standard

FEWEST = 4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pair:
    """One pattern under both methods. `baseline_s`, `candidate_s`: rated times of whole cycles with allowance, (n,).

    `found` compares the cycles timed, whoever rated them; `crew` is the difference of the standards with all that they
    err by, observer and operators of both methods in common. [s] `tries`: all tries, broken-off ones as lower bounds,
    where there are such; means of the good ones alone mislead.
    """

    pattern: str
    baseline_s: NDArray[np.float64]
    candidate_s: NDArray[np.float64]
    found: Compared
    crew: ValueWithInterval
    operators: tuple[str, ...]
    by_operator: tuple[float, float, float, float] | None
    tries: TriesCompared | None = None

    @property
    def verdict(self) -> str:
        """Faster, slower or unclear for the crew under the candidate; by all tries where some were broken off."""
        if self.tries is not None:
            return self.tries.verdict
        return "faster" if self.crew.high < 0 else "slower" if self.crew.low > 0 else "unclear"


def cycle_totals(standard: Standard) -> NDArray[np.float64]:
    """Standard time of each whole cycle without its occasional elements, (cycles,). [s]"""
    rare = {element.element for element in standard.elements if element.occasional}
    parts = [times for name, times in standard.cycle_standard_s.items() if name not in rare]
    return np.sum(parts, axis=0) if parts else np.zeros(0)


def pairs(case: Case, standards: Iterable[Standard], pooled: Mapping[tuple[str, str], Standard]) -> tuple[Pair, ...]:
    """Patterns timed under the baseline and the candidate, in the order of the case.

    Parameters
    ----------
    case : Case
        Names the two methods and the seed.
    standards : iterable of Standard
        One a study, for the operators.
    pooled : mapping
        `by_pattern(standards)`.
    """
    single, found = tuple(standards), []
    counted = counting(single)
    for pattern in (row.pattern for row in case.patterns):
        rows = [pooled.get((pattern, method)) for method in (case.baseline, case.candidate)]
        both = [row for row in rows if row is not None and not row.estimated and row.cycles >= FEWEST]
        if len(both) < len(rows):
            continue
        first, second = (
            np.concatenate([cycle_totals(one) for one in counted if (one.pattern, one.method) == (pattern, row.method)])
            for row in both
        )
        means = _operators(single, pattern, (case.baseline, case.candidate))
        compared = compare(first, second, seed=case.seed)
        found.append(
            Pair(
                pattern=pattern,
                baseline_s=first,
                candidate_s=second,
                found=replace(compared, paired=len(means)),
                crew=ValueWithInterval(
                    value=both[1].standard_s - both[0].standard_s, **_ends(both[1].draws_s - both[0].draws_s)
                ),
                operators=tuple(means),
                by_operator=paired(list(means.values())) if len(means) > 1 else None,
                tries=_tries(case, pattern),
            )
        )
    return tuple(found)


def _ends(draws: NDArray[np.float64]) -> dict[str, float]:
    return dict(zip(("low", "high"), interval(draws), strict=True))


def _tries(case: Case, pattern: str) -> TriesCompared | None:
    both = [
        [study for study in case.studies_of(pattern=pattern, method=method) if len(study.readings)]
        for method in (case.baseline, case.candidate)
    ]
    return compare_tries(*both) if any(map(broken_off, both)) else None


def _operators(standards: tuple[Standard, ...], pattern: str, methods: tuple[str, str]) -> dict[str, float]:
    """Difference of each operator timed under both methods. [s]"""
    times: dict[str, dict[str, list[float]]] = {}
    for row in standards:
        if row.pattern == pattern and not row.estimated:
            times.setdefault(row.operator, {}).setdefault(row.method, []).append(row.standard_s)
    first, second = methods
    return {
        who: float(np.mean(by[second]) - np.mean(by[first]))
        for who, by in times.items()
        if first in by and second in by
    }
