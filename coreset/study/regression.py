"""Straight lines of times over what drives them: least squares, prediction of a new case, error with a row left out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg import solve_triangular
from scipy.special import stdtrit

from coreset.errors import OutOfRange
from coreset.study.bootstrap import LEVEL

TINY = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fitted:
    """A straight line (or plane) of times over what drives them.

    `coefficients`: constant first. `triangle`: R of X = QR. `lowest`, `highest`: range in which it was seen to hold.
    `left_out_sd`: root mean square of the error at each row when the line is drawn through all the others.
    """

    drives: tuple[str, ...]
    coefficients: NDArray[np.float64]
    triangle: NDArray[np.float64]
    sd: float
    freedom: int
    r_squared: float
    lowest: NDArray[np.float64]
    highest: NDArray[np.float64]
    left_out_sd: float

    def predict(self, at: ArrayLike, level: float = LEVEL) -> tuple[float, float, float]:
        """Predicted time of one new case and the ends of its interval of prediction. [unit of the times]"""
        x = np.concatenate([[1.0], np.atleast_1d(np.asarray(at, float))])
        middle = float(x @ self.coefficients)
        half = float(stdtrit(self.freedom, 0.5 + level / 2)) * self.spread(at)
        return middle, middle - half, middle + half

    def spread(self, at: ArrayLike) -> float:
        """Standard error of one new case."""
        return self.sd * float(np.sqrt(1 + self.leverage(at)))

    def leverage(self, at: ArrayLike) -> float:
        """How far one new case lies from those of the fit: 1/n in their middle, more outside. [-]"""
        x = np.concatenate([[1.0], np.atleast_1d(np.asarray(at, float))])
        return float((solve_triangular(self.triangle, x, trans="T") ** 2).sum())

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
        What they depend on, by name; empty for a constant.

    Raises
    ------
    OutOfRange
        If fewer than two more rows than coefficients are there, or the drives do not vary apart.

    References
    ----------
    [montgomery1982] least squares, prediction of a new observation, and errors with one row left out.
    """
    y = np.asarray(times, float)
    x = np.column_stack([np.ones(len(y)), *[np.asarray(column, float) for column in drives.values()]])
    freedom = len(y) - x.shape[1]
    if freedom < 2:
        raise OutOfRange(f"rows of standard data must be two more than coefficients, got {len(y)} for {x.shape[1]}")
    if np.linalg.matrix_rank(x) < x.shape[1]:
        raise OutOfRange(f"drives must vary apart from each other, got {', '.join(drives) or 'none'}")
    # By orthogonal columns: X'X has the square of the condition of X.
    columns, triangle = np.linalg.qr(x)
    b = solve_triangular(triangle, columns.T @ y)
    off = y - x @ b
    total = float(((y - y.mean()) ** 2).sum())
    left_out = off / np.maximum(1 - (columns**2).sum(axis=1), TINY)
    return Fitted(
        drives=tuple(drives),
        coefficients=b,
        triangle=triangle,
        sd=float(np.sqrt(off @ off / freedom)),
        freedom=freedom,
        r_squared=1 - float(off @ off) / total if total else 1.0,
        lowest=x[:, 1:].min(axis=0),
        highest=x[:, 1:].max(axis=0),
        left_out_sd=float(np.sqrt((left_out**2).mean())),
    )
