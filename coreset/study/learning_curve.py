"""Learning curves: times that fall as the same work is repeated, in the unit form."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

NEAR = 0.05
"""A time within 5 % above the plateau counts as there: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """A learning curve fitted in the unit form: plateau + (start - plateau) n^slope.

    `rate`: what is left of the part above the plateau when the number doubles. `to_plateau`: cycle from which the
    curve is within 5 % of the plateau; infinite where there is none.
    """

    start: float
    rate: float
    plateau: float
    to_plateau: float
    r_squared: float


def fit(times: ArrayLike) -> Learnt | None:
    """The curve nearest to times in the order taken, unit form with a plateau; None where times do not fall.

    Parameters
    ----------
    times : array_like, (n,)
        In the order taken, all positive. [any unit]

    References
    ----------
    [crawford1944] unit form: each doubling leaves the same share of the unit's time.
    """
    y = np.asarray(times, float)
    y = y[np.isfinite(y)]
    n = np.arange(1, len(y) + 1)
    if len(y) < 8 or np.ptp(y) == 0:
        return None
    best: tuple[float, float, float, float] | None = None
    for b in -np.geomspace(0.02, 1.5, 60):
        x = n**b
        off = x - x.mean()
        height = float(off @ y) / float(off @ off)
        plateau = float(y.mean() - height * x.mean())
        if plateau < 0:
            plateau, height = 0.0, float(x @ y) / float(x @ x)
        miss = float(((y - plateau - height * x) ** 2).sum())
        if height > 0 and (best is None or miss < best[0]):
            best = (miss, plateau, height, b)
    if best is None:
        return None
    miss, plateau, height, b = best
    reach = math.inf if plateau <= 0 else max(1.0, (NEAR * plateau / height) ** (1 / b))
    total = float(((y - y.mean()) ** 2).sum())
    return Learnt(
        start=plateau + height,
        rate=float(2**b),
        plateau=plateau,
        to_plateau=float(reach),
        r_squared=1 - miss / total,
    )
