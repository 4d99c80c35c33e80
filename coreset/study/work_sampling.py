"""Work sampling: looks needed, random times to look at, interval of a share, and whether days agree."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import chdtrc

from coreset.errors import OutOfRange

SIGMAS = 3.0
LEAST_GAP_MIN = 2


def looks_needed(
    p: float = 0.5, *, error: float | None = None, relative: float | None = None, z: float = 1.96
) -> float:
    """Looks needed, before rounding up, for a share p: z^2 p (1 - p)/e^2, or z^2 (1 - p)/(p s^2) for a relative error.

    Parameters
    ----------
    p : float
        Share foreseen; 0.5 where nothing is known. Work it out again from the share seen during the study.
    error, relative : float
        Half-width wanted, as a share of all looks or of p. One of them.
    z : float
        Normal quantile, 1.96 for 95 %.

    References
    ----------
    [stevenson] equation 7-9.

    Examples
    --------
    >>> math.ceil(looks_needed(0.30, error=0.04, z=2.0))
    525
    """
    if not 0 < p < 1:
        raise OutOfRange(f"the share foreseen must be above 0 and below 1, got {p}")
    if (error is None) == (relative is None):
        raise OutOfRange("precision must be an absolute or a relative error, got both or neither")
    half = error if error is not None else relative * p if relative is not None else math.nan
    return z**2 * p * (1 - p) / half**2


def wilson(hits: float, looks: float, z: float = 1.96) -> tuple[float, float]:
    """Interval of a share that holds for few hits too, were the looks independent.

    Parameters
    ----------
    hits, looks : float
        Looks that saw it, and all looks, above 0; need not be whole where they are not independent.
    z : float
        Normal quantile: 1.96 for 95 %. [-]

    References
    ----------
    Wilson's score interval, common practice.

    Examples
    --------
    >>> [round(end, 3) for end in wilson(3, 60)]
    [0.017, 0.137]
    """
    p, square = hits / looks, z**2 / looks
    half = z * math.sqrt(p * (1 - p) / looks + square / (4 * looks))
    return max(0.0, (p + square / 2 - half) / (1 + square)), min(1.0, (p + square / 2 + half) / (1 + square))


@dataclass(frozen=True, slots=True, kw_only=True)
class Consistency:
    """Whether the share is the same on all days. `out`: places of days beyond the limits of their own looks.

    `limits`: (low, high) of each day. `p_value`: by chi-square over the days. `ratio`: variance between days over that
    of independent looks.
    """

    p: float
    limits: tuple[tuple[float, float], ...]
    out: tuple[int, ...]
    chi_square: float
    p_value: float
    ratio: float


def consistency(hits: Sequence[float], looks: Sequence[float]) -> Consistency:
    """A p chart of the days, and a test over all of them. A day out is looked into, not left out.

    References
    ----------
    [montgomery_spc] p chart with three standard deviations.
    """
    x, n = np.asarray(hits, float), np.asarray(looks, float)
    if len(x) != len(n) or (n <= 0).any() or (x > n).any() or (x < 0).any():
        raise OutOfRange("every day must have looks, and hits among them, got a day without")
    p = float(x.sum() / n.sum())
    half = SIGMAS * np.sqrt(p * (1 - p) / n)
    low, high = np.maximum(p - half, 0.0), np.minimum(p + half, 1.0)
    usual = n * p * (1 - p)
    square = float((((x - n * p) ** 2) / usual).sum()) if p * (1 - p) > 0 else 0.0
    freedom = len(x) - 1
    return Consistency(
        p=p,
        limits=tuple(zip(low.tolist(), high.tolist(), strict=True)),
        out=tuple(np.flatnonzero((x / n < low) | (x / n > high)).tolist()),
        chi_square=square,
        p_value=float(chdtrc(freedom, square)) if freedom else 1.0,
        ratio=square / freedom if freedom else math.nan,
    )


def random_times(looks: int, *, minutes: int, seed: int, gap: int = LEAST_GAP_MIN) -> tuple[int, ...]:
    """Minutes of a shift at which to look, sorted, the same number in each stretch, a least gap apart.

    Never at fixed intervals: a line that repeats itself would show the same element at every look. Draws that fall too
    near the one before are thrown away and drawn again.

    Parameters
    ----------
    looks, minutes : int
        Looks in the shift, and its length.
    seed, gap : int
        Another one for each day; minutes between two looks at least.

    Raises
    ------
    OutOfRange
        If so many do not fit.

    References
    ----------
    [stevenson] random times of observation: what is out of range is thrown away, never wrapped.
    """
    if looks < 1 or minutes // looks < 2 * gap:
        raise OutOfRange(f"looks must be 1 to {minutes // (2 * gap)} in {minutes} minutes, got {looks}")
    rng, found = np.random.default_rng(seed), [-gap]
    for k in range(looks):
        first, last = k * minutes // looks, (k + 1) * minutes // looks
        found.append(int(rng.integers(max(first, found[-1] + gap), last)))
    return tuple(found[1:])
