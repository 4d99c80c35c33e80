"""Standard data: which driver an element's time follows over the patterns timed, and what it would be elsewhere."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.errors import OutOfRange
from coreset.study.drivers import DRIVERS
from coreset.study.regression import Fitted, fit

BETTER = 0.70
"""A driver, and again a second one, must bring the error with one pattern left out below this share of what it is
without. Of eight patterns made with one driver, about nine in ten are told rightly by it: our own choice, no source."""
ALIKE = 0.95
"""Two drivers whose correlation is beyond this say the same: common practice, no source."""
LEAST_VALUES, LEAST_FOR_TWO = 3, 6
"""Different values that a driver must take; patterns from which two drivers are tried: common practice, no source."""
SAME = 1.01
"""Errors within this factor of the least count as alike, and the simpler driver is taken."""
ROUNDING = 1e-9
"""Errors below this share of the longest time are those of the last digits: no driver is left to tell them."""
CONSTANT = "constant"
JOINT = " + "


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class VariableElement:
    """One element over the patterns timed. `seconds`: (patterns,), standard time for one mold. [s]

    `fitted`: on the chosen drivers, none for a constant element. `tried`: error with one pattern left out by each set
    of drivers that could be fitted. `stated`: whether a person chose instead of the rule.
    """

    element: str
    seconds: NDArray[np.float64]
    drives: Mapping[str, NDArray[np.float64]]
    fitted: Fitted
    tried: tuple[tuple[str, float], ...]
    stated: bool = False

    def at(self, values: Mapping[str, float]) -> tuple[float, ...]:
        """Values of the chosen drivers, in the order of the fit."""
        return tuple(values[name] for name in self.fitted.drives)


def name_of(names: Sequence[str]) -> str:
    """Name of a set of drivers.

    Examples
    --------
    >>> name_of(("cores", "mass")), name_of(())
    ('cores + mass', 'constant')
    """
    return JOINT.join(names) or CONSTANT


def sets(drives: Mapping[str, ArrayLike]) -> tuple[tuple[str, ...], ...]:
    """Sets of drivers that may be tried: none, each that varies enough, two that do not say the same."""
    columns = {name: np.asarray(drives[name], float) for name in DRIVERS if name in drives}
    usable = [n for n, x in columns.items() if np.isfinite(x).all() and len(np.unique(x)) >= LEAST_VALUES]
    size = max((len(x) for x in columns.values()), default=0)
    two = [] if size < LEAST_FOR_TWO else [
        (a, b) for a, b in combinations(usable, 2) if abs(np.corrcoef(columns[a], columns[b])[0, 1]) < ALIKE
    ]  # fmt: skip
    return ((), *((name,) for name in usable), *two)


def choose(element: str, seconds: ArrayLike, drives: Mapping[str, ArrayLike], *, stated: str = "") -> VariableElement:
    """The driver that foretells an element best: the one whose line misses left-out patterns least.

    Each pattern in turn is left out, a line drawn through the others, and its miss at the one left out taken. Fewer
    drivers go first: one is taken only if it cuts the root mean square of the misses by three tenths, a second one only
    if it cuts what is left by as much again; of as many, the one with the least, the simpler of two alike. Two are
    tried from six patterns on. What is `stated` is taken instead, if it can be fitted.

    Parameters
    ----------
    element : str
        Name.
    seconds : array_like, (patterns,)
        Standard time for one mold. [s]
    drives : mapping of array_like, (patterns,) each
        Values of the drivers by name, in their own units.
    stated : str
        Drivers that a person chose, see `name_of`; empty for none.

    Raises
    ------
    OutOfRange
        If there are fewer than three patterns.

    References
    ----------
    [montgomery1982] prediction errors with one observation left out.
    """
    y = np.asarray(seconds, float)
    fitted: dict[tuple[str, ...], Fitted] = {}
    for names in sets(drives):
        try:
            fitted[names] = fit(y, {name: drives[name] for name in names})
        except OutOfRange:
            continue
    if () not in fitted:
        raise OutOfRange(f"patterns of standard data must be three or more, got {len(y)}")
    best: tuple[str, ...] = ()
    for count in (1, 2):
        if fitted[best].left_out_sd <= ROUNDING * np.abs(y).max():
            break
        same = [names for names in fitted if len(names) == count]
        error = min((fitted[names].left_out_sd for names in same), default=np.inf)
        least = next((names for names in same if fitted[names].left_out_sd <= SAME * error), best)
        if fitted[least].left_out_sd < BETTER * fitted[best].left_out_sd:
            best = least
    own = next((names for names in fitted if name_of(names) == stated), None)
    return VariableElement(
        element=element,
        seconds=y,
        drives={name: np.asarray(column, float) for name, column in drives.items()},
        fitted=fitted[best if own is None else own],
        tried=tuple((name_of(names), one.left_out_sd) for names, one in fitted.items()),
        stated=own is not None,
    )
