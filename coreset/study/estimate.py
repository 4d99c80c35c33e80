"""Standard data: the time of a pattern that nobody timed, from those that were, with an interval of prediction."""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import stdtrit

from coreset.case import Case
from coreset.errors import OutOfRange
from coreset.study.resample import LEVEL, interval
from coreset.study.standard import Note, Standard

LEAST_PATTERNS = 4
"""Timed patterns of a method below which none is estimated: one drive, two coefficients, two left to judge scatter."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fitted:
    """A straight line (or plane) of times over what drives them.

    `coefficients`: constant first. `inverse`: (X'X)^-1. `lowest`, `highest`: range in which it was seen to hold.
    """

    drives: tuple[str, ...]
    coefficients: NDArray[np.float64]
    inverse: NDArray[np.float64]
    sd: float
    freedom: int
    r_squared: float
    lowest: NDArray[np.float64]
    highest: NDArray[np.float64]

    def predict(self, at: ArrayLike, level: float = LEVEL) -> tuple[float, float, float]:
        """Predicted time of one new case and the ends of its interval of prediction. [unit of the times]"""
        x = np.concatenate([[1.0], np.atleast_1d(np.asarray(at, float))])
        middle = float(x @ self.coefficients)
        half = float(stdtrit(self.freedom, 0.5 + level / 2)) * self.spread(at)
        return middle, middle - half, middle + half

    def spread(self, at: ArrayLike) -> float:
        """Standard error of one new case."""
        x = np.concatenate([[1.0], np.atleast_1d(np.asarray(at, float))])
        return self.sd * float(np.sqrt(1 + x @ self.inverse @ x))

    def covers(self, at: ArrayLike) -> bool:
        """Whether a case lies in the range that the fit was made on."""
        x = np.atleast_1d(np.asarray(at, float))
        return bool(((x >= self.lowest) & (x <= self.highest)).all())


def fit(times: ArrayLike, drives: Mapping[str, ArrayLike]) -> Fitted:
    """Least squares of times on what drives them (cores, mass, distance).

    Parameters
    ----------
    times : array_like, (n,)
        Normal or observed times. [one unit]
    drives : mapping of str to array_like (n,)
        What they depend on, by name.

    Raises
    ------
    OutOfRange
        If fewer than two more rows than coefficients are there, or the drives do not vary apart.

    References
    ----------
    [montgomery1982] least squares and prediction of a new observation.
    """
    y = np.asarray(times, float)
    x = np.column_stack([np.ones(len(y)), *[np.asarray(column, float) for column in drives.values()]])
    freedom = len(y) - x.shape[1]
    if freedom < 2:
        raise OutOfRange(f"rows of standard data must be two more than coefficients, got {len(y)} for {x.shape[1]}")
    if np.linalg.matrix_rank(x) < x.shape[1]:
        raise OutOfRange(f"drives must vary apart from each other, got {', '.join(drives)}")
    inverse = np.linalg.inv(x.T @ x)
    b = np.linalg.lstsq(x, y, rcond=None)[0]
    off = y - x @ b
    total = float(((y - y.mean()) ** 2).sum())
    return Fitted(
        drives=tuple(drives),
        coefficients=b,
        inverse=inverse,
        sd=float(np.sqrt(off @ off / freedom)),
        freedom=freedom,
        r_squared=1 - float(off @ off) / total if total else 1.0,
        lowest=x[:, 1:].min(axis=0),
        highest=x[:, 1:].max(axis=0),
    )


def cores_per_mold(case: Case, pattern: str) -> float:
    """Cores set for one mold: what drives the time most. [-]"""
    return float(sum(core.per_mold for core in case.cores_of(pattern)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MethodLine:
    """Standard data of one method: standard time over cores in a mold. `points`: pattern, cores, seconds."""

    method: str
    points: tuple[tuple[str, float, float], ...]
    fitted: Fitted


def lines(case: Case, timed: Mapping[tuple[str, str], Standard]) -> tuple[MethodLine, ...]:
    """Standard data of the two methods compared, where enough patterns were timed and their cores differ."""
    found = []
    for method in (case.baseline, case.candidate):
        points = tuple(
            (p, cores_per_mold(case, p), row.standard_s)
            for (p, m), row in timed.items()
            if m == method and not row.estimated
        )
        cores = [each[1] for each in points]
        if len(points) >= LEAST_PATTERNS and len(set(cores)) > 1:
            found.append(
                MethodLine(method=method, points=points, fitted=fit([each[2] for each in points], {"cores": cores}))
            )
    return tuple(found)


def estimated(
    case: Case, timed: Mapping[tuple[str, str], Standard], *, resamples: int, seed: int | None = None
) -> tuple[Standard, ...]:
    """Standards of patterns without a study of a method, where enough other patterns have one."""
    found = []
    for method in (case.baseline, case.candidate):
        known = {p: row for (p, m), row in timed.items() if m == method}
        if len(known) < LEAST_PATTERNS:
            continue
        for pattern in (p.pattern for p in case.patterns if p.pattern not in known and case.cores_of(p.pattern)):
            rng = np.random.default_rng(
                [case.seed if seed is None else seed, zlib.crc32(f"{pattern} {method}".encode())]
            )
            row = _estimate(case, pattern, known, resamples, rng)
            found += [row] if row else []
    return tuple(found)


def _estimate(
    case: Case, pattern: str, known: Mapping[str, Standard], resamples: int, rng: np.random.Generator
) -> Standard | None:
    cores = np.array([cores_per_mold(case, p) for p in known])
    if np.ptp(cores) == 0:
        return None
    line = fit([row.standard_s for row in known.values()], {"cores": cores})
    at = cores_per_mold(case, pattern)
    middle = line.predict(at)[0]
    if middle <= 0:
        return None
    nearest = min(known.values(), key=lambda row: abs(row.standard_s - middle))
    ratio = middle / nearest.standard_s
    draws = np.maximum(middle + line.spread(at) * rng.standard_t(line.freedom, resamples), 0.05 * middle)
    return _scaled(nearest, ratio, draws, pattern, line.covers(at), len(known))


def _scaled(row: Standard, ratio: float, draws: NDArray, pattern: str, covered: bool, count: int) -> Standard:
    """The nearest timed pattern's elements, scaled to the estimate."""
    names = ("mean_s", "sd_s", "observed_s", "normal_s", "standard_s", "standard_low_s", "standard_high_s")
    low, high = interval(draws)
    codes = ["estimated"] + ([] if covered else ["estimated_outside"])
    elements = tuple(
        replace(e, readings=0, excluded=0, missed=0, failed=0, readings_needed=0,
                **{name: getattr(e, name) * ratio for name in names})
        for e in row.elements
    )  # fmt: skip
    return replace(
        row, study="", operator="", pattern=pattern, cycles=0, observed_s=row.observed_s * ratio,
        normal_s=row.normal_s * ratio, standard_s=row.standard_s * ratio, standard_low_s=low, standard_high_s=high,
        unaccounted_pct=float("nan"), balance=None, draws_s=draws, elements=elements, with_all_s=row.standard_s * ratio,
        cycle_standard_s={name: times * ratio for name, times in row.cycle_standard_s.items()}, estimated=True,
        cycles_needed=0, precision=float("nan"),
        warnings=tuple(Note(code=c, blanks={"pattern": pattern, "method": row.method, "count": count}) for c in codes),
    )  # fmt: skip
