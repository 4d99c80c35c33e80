"""Scatter of a mold cycle's mean: who rated, and how far means of few cycles are from those of all. Out: factors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.line.method_steps import Net


@dataclass(frozen=True, slots=True, kw_only=True)
class Rater:
    """Scatter of who rated: one standard deviation as a share, and the elements that a rating touches."""

    sd: float = 0.0
    elements: frozenset[str] = frozenset()
    rng: np.random.Generator


def varies(timed: dict[str, NDArray[np.float64]], rater: Rater | None) -> bool:
    """Whether anything moves the mean: timed elements of which not every cycle is alike, or a rater's scatter."""
    rated = rater is not None and rater.sd > 0 and not rater.elements.isdisjoint(timed)
    return rated or any(float(np.ptp(seconds)) > 0 for seconds in timed.values())


def narrowed(drawn: NDArray[np.float64], factor: NDArray[np.float64], share: float) -> NDArray[np.float64]:
    """Means of few cycles as scattered as means of all would be: by the root of the share that was run.

    What the rater's factor explains stays as wide as it is.
    """
    if share >= 1.0:
        return drawn
    off = factor - factor.mean()
    square = float(off @ off)
    explained = drawn.mean() + (off * float(off @ drawn) / square if square > 0 else 0.0)
    return explained + (drawn - explained) * np.sqrt(share)


def rated(found: Net, seconds: NDArray[np.float64], rater: Rater | None) -> NDArray[np.float64]:
    """Scale what was rated, in place, by one factor a replication, held above 0; the factors."""
    if rater is None or rater.sd == 0 or not rater.elements:
        return np.ones(seconds.shape[-1])
    factor = np.maximum(rater.rng.normal(1.0, rater.sd, seconds.shape[-1]), 0.0)
    for k, a in enumerate(found.activities):
        if a.constant_s is None and a.element in rater.elements:
            seconds[:, k] *= factor
    return factor
