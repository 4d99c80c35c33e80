"""A great many lifts as the cells of a coarse grid: five loads, two heights, three reaches, so at most 30 cells."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.lifting.constants import constants
from coreset.lifting.equation import horizontal_multiplier
from coreset.sources import table

LOADS, HEIGHTS, REACHES = 5, 2, 3  # [waters2016] shape of the grid, as an abstract of the procedure has it
CELLS = LOADS * HEIGHTS * REACHES
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cells:
    """Cells of the grid that hold lifts: FILI of each, how often its lifts occur, and the lowest V at their origins."""

    fili: Floats
    weight: Floats
    vertical_origin: Floats


@cache
def zones(units: str) -> dict[str, float]:
    """Borders of the zones of reach and height [waters2016], from memory."""
    return {row["name"]: float(row[units]) for row in table("waters2016/grid_zones").rows}


def gathered(
    *,
    mass: ArrayLike,
    horizontal: ArrayLike,
    vertical: ArrayLike,
    limit: ArrayLike,
    weight: ArrayLike,
    vertical_origin: ArrayLike | None = None,
    units: str = "metric",
) -> Cells:
    """Lifts gathered into cells, each rated once by the equation at what its lifts are on average.

    Parameters
    ----------
    mass, horizontal, vertical : array_like, (lifts,)
        Load, H and V of each lift at its governing end.
    limit : array_like, (lifts,)
        FIRWL there, above zero. [mass]
    weight : array_like, (lifts,)
        How often each occurs, on any scale.
    vertical_origin : array_like, (lifts,), optional
        V at the origin, by which FM is found; `vertical` where not given. [cm, or in]
    units : {"metric", "us"}
        Unit set.

    Returns
    -------
    Cells
        Five equal parts of the range of loads; heights near the reference or away from it; near, middle, far reaches.
        A cell takes the mean load, reach and distance from the reference height, and the mean of 1/(DM AM CM).

    References
    ----------
    [waters2016]; the borders of the zones from memory.

    Examples
    --------
    >>> found = gathered(mass=[5, 5, 9], horizontal=[50, 50, 25], vertical=[75, 75, 75], limit=[11.5, 11.5, 23],
    ...     weight=[1, 1, 2])
    >>> found.fili.round(4), found.weight
    (array([0.4348, 0.3913]), array([2., 2.]))
    """
    c, border = constants(units), zones(units)
    load, h, v, firwl, w = (np.asarray(x, dtype=float) for x in (mass, horizontal, vertical, limit, weight))
    hm, away = horizontal_multiplier(h, units=units), np.abs(v - c.vertical_reference)
    rest = c.load_constant * hm * (1.0 - c.vertical_slope * away) / firwl
    edges = np.linspace(load.min(), load.max(), LOADS + 1)
    heavy = np.clip(np.searchsorted(edges, load, side="right") - 1, 0, LOADS - 1)
    far = np.searchsorted([border["reach_near"], border["reach_middle"]], h)
    off = (v < border["height_low"]) | (v > border["height_high"])
    cell = (heavy * HEIGHTS + off) * REACHES + far
    total = np.bincount(cell, weights=w, minlength=CELLS).astype(float)
    held = np.flatnonzero(total)

    def mean(x: Floats) -> Floats:
        return np.bincount(cell, weights=w * x, minlength=CELLS)[held] / total[held]

    firwl = c.load_constant * (1.0 - c.vertical_slope * mean(away)) / (mean(1.0 / hm) * mean(rest))
    begins = v if vertical_origin is None else np.asarray(vertical_origin, dtype=float)
    lowest = np.array([begins[(cell == k) & (w > 0)].min() for k in held])
    return Cells(fili=mean(load) / firwl, weight=total[held], vertical_origin=lowest)
