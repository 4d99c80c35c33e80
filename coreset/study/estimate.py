"""Standards of patterns that nobody timed, element by element from standard data, with an interval of prediction."""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from coreset.case import Case
from coreset.study.bootstrap import LEVEL, interval, not_below_zero
from coreset.study.drivers import DRIVERS, drivers
from coreset.study.notes import StudyNote
from coreset.study.standard import Standard
from coreset.study.standard_data import VariableElement, choose

LEAST_PATTERNS = 4
"""Timed patterns of a method below which none is estimated: one driver, two coefficients, two left to judge scatter."""
REST = ""
"""In place of an element's name: all elements together that not every pattern has."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MethodData:
    """Standard data of one method: its elements over the patterns timed.

    `sd`, `freedom`: scatter of the patterns' standard times about the sums of what the elements foretell. [s]
    """

    method: str
    patterns: tuple[str, ...]
    elements: tuple[VariableElement, ...]
    sd: float
    freedom: int

    def foretell(self, values: Mapping[str, float]) -> dict[str, float]:
        """Standard time of each element for one mold with these drivers; none below 0. [s]"""
        return {e.element: max(0.0, e.fitted.predict(e.at(values))[0]) for e in self.elements}

    def spread(self, values: Mapping[str, float]) -> float:
        """Standard error of the sum for a new pattern: its scatter, stretched as the farthest element's line. [s]"""
        return self.sd * float(np.sqrt(1 + max(e.fitted.leverage(e.at(values)) for e in self.elements)))

    def interval(self, values: Mapping[str, float]) -> tuple[float, float, float]:
        """The sum for a new pattern and the ends of its interval of prediction. [s]"""
        middle = sum(self.foretell(values).values())
        half = float(stdtrit(self.freedom, 0.5 + LEVEL / 2)) * self.spread(values)
        return middle, *not_below_zero(middle - half, middle + half)

    def covers(self, values: Mapping[str, float]) -> bool:
        """Whether every driver that is used lies in the range timed."""
        return all(e.fitted.covers(e.at(values)) for e in self.elements)


def parts(rows: Mapping[str, Standard]) -> dict[str, NDArray[np.float64]]:
    """Standard time of each element that every pattern has, and of the rest together, (patterns,) each. [s]

    Where several studies were pooled, elements keep their shares of the pooled time.
    """
    sums = [sum(e.standard_s for e in row.elements) or 1.0 for row in rows.values()]
    found = [
        {e.element: e.standard_s * row.standard_s / total for e in row.elements}
        for row, total in zip(rows.values(), sums, strict=True)
    ]
    shared = [name for name in found[0] if all(name in one for one in found)]
    made = {name: np.array([one[name] for one in found]) for name in shared}
    rest = np.array([row.standard_s for row in rows.values()]) - sum(made.values(), np.zeros(len(found)))
    return made if np.abs(rest).max() < 1e-6 else made | {REST: rest}


def unknown(case: Case, method: str) -> dict[str, list[str]]:
    """Drivers not known for every pattern with cores, and so not used, with the patterns that lack them."""
    found: dict[str, list[str]] = {}
    for pattern in dict.fromkeys(core.pattern for core in case.cores):
        for name, value in drivers(case, pattern, method).items():
            if np.isnan(value):
                found.setdefault(name, []).append(pattern)
    return found


def method_data(case: Case, method: str, rows: Mapping[str, Standard]) -> MethodData | None:
    """Standard data of one method from its timed patterns; None where they are too few.

    Parameters
    ----------
    case : Case
        Cores and lifts, from which the drivers come; drivers stated by a person.
    method : str
        The method.
    rows : mapping
        Its timed standards by pattern.
    """
    if len(rows) < LEAST_PATTERNS:
        return None
    values = [drivers(case, pattern, method) for pattern in rows]
    known = [name for name in DRIVERS if name not in unknown(case, method)]
    drives = {name: np.array([one[name] for one in values]) for name in known}
    stated = {row.element: row.by for row in case.drivers if row.method == method}
    elements = tuple(
        choose(name, seconds, drives, stated=stated.get(name, "")) for name, seconds in parts(rows).items()
    )
    told = [sum(e.fitted.predict(e.at(one))[0] for e in elements) for one in values]
    off = np.array([row.standard_s for row in rows.values()]) - np.array(told)
    freedom = min(e.fitted.freedom for e in elements)
    return MethodData(
        method=method,
        patterns=tuple(rows),
        elements=elements,
        sd=float(np.sqrt(off @ off / freedom)),
        freedom=freedom,
    )


def data(case: Case, timed: Mapping[tuple[str, str], Standard]) -> tuple[MethodData, ...]:
    """Standard data of the two methods compared, where enough patterns were timed."""
    found = (method_data(case, method, timed_by(timed, method)) for method in (case.baseline, case.candidate))
    return tuple(one for one in found if one is not None)


def timed_by(timed: Mapping[tuple[str, str], Standard], method: str) -> dict[str, Standard]:
    """Standards of a method by pattern, without those that are estimated themselves."""
    return {p: row for (p, m), row in timed.items() if m == method and not row.estimated}


def estimated(
    case: Case, timed: Mapping[tuple[str, str], Standard], *, resamples: int, seed: int | None = None
) -> tuple[Standard, ...]:
    """Standards of patterns without a study of a method, where enough other patterns have one.

    Parameters
    ----------
    case : Case
        Patterns with their cores.
    timed : mapping
        Standards by (pattern, method); those that are estimates themselves are not learned from.
    resamples : int
        Draws of each estimate.
    seed : int, optional
        Of the draws, with pattern and method; the case's own if left out.
    """
    found = []
    for one in data(case, timed):
        known = timed_by(timed, one.method)
        for pattern in (p.pattern for p in case.patterns if p.pattern not in known and case.cores_of(p.pattern)):
            rng = np.random.default_rng(
                [case.seed if seed is None else seed, zlib.crc32(f"{pattern} {one.method}".encode())]
            )
            row = _estimate(case, pattern, one, known, (resamples, rng))
            found += [row] if row else []
    return tuple(found)


def _estimate(
    case: Case, pattern: str, one: MethodData, known: Mapping[str, Standard], draw: tuple[int, np.random.Generator]
) -> Standard | None:
    values, (resamples, rng) = drivers(case, pattern, one.method), draw
    told, middle = one.foretell(values), one.interval(values)[0]
    if middle <= 0:
        return None
    shared = np.mean([np.resize(row.draws_s, resamples) / row.standard_s for row in known.values()], axis=0)
    draws = (middle + one.spread(values) * rng.standard_t(one.freedom, resamples)) * shared
    draws = np.maximum(draws, 0.05 * middle)
    nearest = min(known.values(), key=lambda row: abs(row.standard_s - middle))
    return _scaled(nearest, told, draws, pattern, one.covers(values), len(known))


def _scaled(
    row: Standard, told: Mapping[str, float], draws: NDArray[np.float64], pattern: str, covered: bool, count: int
) -> Standard:
    """The nearest timed pattern's elements, each scaled to what standard data predict for it.

    What it has no element for is laid on those that it has: the elements add up to the predicted sum.
    """
    names = ("mean_s", "sd_s", "observed_s", "normal_s", "standard_s", "standard_low_s", "standard_high_s")
    low, high = interval(draws)
    codes = ["estimated"] + ([] if covered else ["estimated_outside"])
    own = sum(e.standard_s for e in row.elements if e.element not in told)
    ratio = {
        e.element: told[e.element] / e.standard_s if e.element in told and e.standard_s > 0
        else told.get(REST, 0.0) / own if own > 0 and e.element not in told else 1.0
        for e in row.elements
    }  # fmt: skip
    carried = sum(e.standard_s * ratio[e.element] for e in row.elements)
    whole = sum(told.values()) / carried if carried else 1.0
    ratio = {name: each * whole for name, each in ratio.items()}
    elements = tuple(
        replace(e, readings=0, excluded=0, missed=0, failed=0, readings_needed=0,
                **{name: getattr(e, name) * ratio[e.element] for name in names})
        for e in row.elements
    )  # fmt: skip
    total = {name: sum(getattr(e, name) for e in elements) for name in ("observed_s", "normal_s", "standard_s")}
    return replace(
        row, study="", operator="", pattern=pattern, cycles=0, **total, standard_low_s=low, standard_high_s=high,
        unaccounted_pct=float("nan"), balance=None, draws_s=draws, elements=elements, with_all_s=total["standard_s"],
        cycle_standard_s={name: times * ratio.get(name, 1.0) for name, times in row.cycle_standard_s.items()},
        estimated=True, cycles_needed=0, precision=float("nan"),
        warnings=tuple(
            StudyNote(code=c, blanks={"pattern": pattern, "method": row.method, "count": count}) for c in codes
        ),
    )  # fmt: skip
