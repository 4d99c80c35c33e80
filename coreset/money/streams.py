"""Random numbers by name: each input has a stream of its own, so that no other input bears on its runs.

The numbers of a stream are strata: the chances (i + 1/2)/n, once each, in an order that the stream's name and the seed
decide. The mean and the percentiles of an input are then those of its range, whatever the seed.
"""

from __future__ import annotations

from functools import lru_cache
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from coreset.money.distributions import normal_score

Vector = NDArray[np.float64]


def stream(name: str, seed: int) -> np.random.Generator:
    """The generator of one input.

    Examples
    --------
    >>> stream("wage_per_h", 1).random() == stream("wage_per_h", 1).random() != stream("residual", 1).random()
    True
    """
    return np.random.default_rng(np.random.SeedSequence([seed, crc32(name.encode())]))


def chances(name: str, seed: int, runs: int) -> Vector:
    """Uniform numbers of one input, shape (runs,). [-]

    Parameters
    ----------
    name : str
        Name of the input.
    seed : int
        Seed of the runs.
    runs : int
        Number of runs.
    """
    return (stream(name, seed).permutation(runs) + 0.5) / runs


@lru_cache(maxsize=4)
def _scores(runs: int) -> Vector:
    found = normal_score((np.arange(runs) + 0.5) / runs)
    found = (found - found[::-1]) / 2.0
    found.setflags(write=False)
    return found


def scores(name: str, seed: int, runs: int) -> Vector:
    """Standard normal numbers of one input, shape (runs,). [-]

    Parameters
    ----------
    name : str
        Name of the input.
    seed : int
        Seed of the runs.
    runs : int
        Number of runs.
    """
    return stream(name, seed).permutation(_scores(runs))


def tied_scores(name: str, common: str, correlation: float, seed: int, runs: int) -> Vector:
    """Standard normal numbers of one input, correlated with those of all others that share the stream `common`.

    Parameters
    ----------
    name, common : str
        Name of the input, and of the stream that it shares.
    correlation : float
        Correlation of any two inputs that share it, 0 to 1. [-]
    seed, runs : int
        Seed and number of runs.

    Returns
    -------
    ndarray, shape (runs,)
    """
    own = scores(name, seed, runs)
    if not correlation:
        return own
    return np.sqrt(correlation) * scores(common, seed, runs) + np.sqrt(1.0 - correlation) * own
