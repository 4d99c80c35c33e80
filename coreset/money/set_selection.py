"""Choosing patterns under several limits at once: every set to try, or integer programming and a check of it.

In: what each pattern is worth, what it uses of each limit, the limits, who must be in. Out: who is in.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.errors import CoresetError
from coreset.quiet import off_stdout

SEARCHED = 16
"""Up to so many candidates every set is tried."""
TIME_LIMIT_S = 20.0
ROUND_OFF = 1e-9
OUT_OF_TIME, INFEASIBLE = 1, 2
"""Endings of scipy.optimize.milp."""
Chosen = NDArray[np.bool_]


class NoSet(CoresetError):
    """No set of patterns keeps every limit."""


class NotProved(CoresetError):
    """Time passed without a proof: `chosen` is the best set found, if any, `more` what a better one could bring."""

    def __init__(self, text: str, chosen: Chosen | None, more: float) -> None:
        super().__init__(text)
        self.chosen, self.more = chosen, more


def all_sets(count: int) -> NDArray[np.float64]:
    """Every set of so many candidates, one a column, shape (count, 2^count); the first is empty."""
    return ((np.arange(2**count)[None, :] >> np.arange(count)[:, None]) & 1).astype(float)


def kept(uses: ArrayLike, limits: ArrayLike, chosen: ArrayLike) -> NDArray[np.bool_] | bool:
    """Whether sets keep every limit. uses (limits, candidates), chosen (candidates,) or (candidates, sets).

    Parameters
    ----------
    uses : array_like, shape (limits, candidates)
        What each candidate takes of each limit.
    limits : array_like, shape (limits,)
        How much there is of each.
    chosen : array_like, shape (candidates,) or (candidates, sets)
        1 where a candidate is in.
    """
    limits = np.asarray(limits, dtype=float)
    used = np.asarray(uses, dtype=float) @ np.asarray(chosen, dtype=float)
    slack = (limits + ROUND_OFF * np.maximum(1.0, np.abs(limits))).reshape(-1, *[1] * (used.ndim - 1))
    return np.all(used <= slack, axis=0)


def by_program(worth: ArrayLike, uses: ArrayLike, limits: ArrayLike, forced: ArrayLike = ()) -> Chosen:
    """The best set by integer programming with no gap allowed; rounded, and every limit checked again.

    Parameters
    ----------
    worth : array_like, shape (candidates,)
        What each is worth. [currency]
    uses : array_like, shape (limits, candidates)
        What each uses of each limit, in the limit's unit.
    limits : array_like, shape (limits,)
        Most that may be used.
    forced : array_like of int
        Candidates that must be in.

    Returns
    -------
    ndarray of bool, shape (candidates,)

    Raises
    ------
    NoSet
        If no set with the forced ones keeps the limits.
    NotProved
        If the time limit passes without a proof.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    worth = np.asarray(worth, dtype=float)
    low = np.zeros(worth.size)
    low[np.asarray(forced, dtype=int)] = 1.0
    with off_stdout():
        found = milp(
            -worth,
            integrality=np.ones(worth.size),
            bounds=Bounds(low, 1.0),
            constraints=LinearConstraint(np.asarray(uses, dtype=float), ub=np.asarray(limits, dtype=float)),
            options={"mip_rel_gap": 0.0, "time_limit": TIME_LIMIT_S},
        )
    if found.status == INFEASIBLE:
        raise NoSet("limits must leave room for the patterns that must go over, got no set that keeps them")
    if found.x is None and found.status != OUT_OF_TIME:
        raise CoresetError(f"choice of patterns must be solved, got: {found.message}")
    chosen = np.round(found.x) > 0 if found.x is not None else None
    if chosen is not None and (not kept(uses, limits, chosen) or np.abs(found.x - chosen).max() > 1e-5):
        raise CoresetError("choice of patterns must keep every limit when checked again, got one that does not")
    if found.status != 0 or chosen is None:
        more = math.inf if chosen is None else max(0.0, -float(found.mip_dual_bound) - float(worth @ chosen))
        text = f"choice of patterns must be proved best within {TIME_LIMIT_S:g} s, got no proof"
        raise NotProved(text, chosen, more)
    return chosen
