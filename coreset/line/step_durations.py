"""How long each step takes: whole cycles of the study drawn again, or constants. In: net, standard. Out: seconds."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.errors import OutOfRange
from coreset.line.method_steps import OPERATOR, Activity, Net

WHOLE = "all elements"
"""Stands for the standard time as a whole where a study has no complete cycle, or a method no steps."""


def table(standard: Any | None) -> dict[str, NDArray[np.float64]]:
    """Standard time of each element in each complete cycle, rows aligned. [s]

    Where there is none, as if the whole standard time had been read once.
    """
    if standard is None:
        return {}
    rows = dict(getattr(standard, "cycle_standard_s", None) or {})
    if rows and min(len(values) for values in rows.values()):
        return {name: np.asarray(values, dtype=float) for name, values in rows.items()}
    return {WHOLE: np.array([float(standard.standard_s)])}


def as_one(standard: Any) -> tuple[Activity, ...]:
    """One operator who does everything, one element after another: what is left when no steps are stated."""
    return tuple(Activity(name=name, by=OPERATOR, element=name) for name in table(standard))


def forgotten(stated: tuple[Activity, ...], manual: list[str]) -> tuple[Activity, ...]:
    """The stated activities, then what people were timed to do and no step takes, such as an occasional element."""
    used = {a.element for a in stated}
    who = next((a.by for a in reversed(stated) if a.by.startswith(OPERATOR)), OPERATOR)
    more = (Activity(name=name, by=who, element=name) for name in manual if name not in used)
    return (*stated, *more)


def checked(net: Net, elements: dict[str, Any]) -> None:
    """Refuse a net whose steps name elements that were not timed.

    Raises
    ------
    OutOfRange
        With the step, and the elements that there are.
    """
    for a in net.activities:
        if a.constant_s is None and a.element not in elements:
            there = ", ".join(elements) or "no elements"
            raise OutOfRange(f"step {a.name!r} must take a timed element or constant_s, got {a.element!r} of {there}")


def mean_seconds(net: Net, elements: dict[str, NDArray[np.float64]]) -> NDArray[np.float64]:
    """Mean duration of each step, shape (K,). [s]"""
    means = [a.constant_s if a.constant_s is not None else float(elements[a.element].mean()) for a in net.activities]
    return np.array([changed_s(a, np.float64(d)) for a, d in zip(net.activities, means, strict=True)])


def drawn_seconds(
    net: Net,
    elements: dict[str, NDArray[np.float64]],
    rows: NDArray[np.integer],
    *,
    rng: np.random.Generator,
    means_s: Mapping[str, NDArray[np.float64]] | None = None,
    skip: int = 0,
) -> NDArray[np.float64]:
    """Durations of every step in drawn cycles; elements of one row stay together.

    Parameters
    ----------
    net : Net
        K steps.
    elements : dict of ndarray (timed cycles,)
        Standard time by element. [s]
    rows : ndarray (cycles, replications)
        Which timed cycle each cycle repeats.
    rng : Generator
        For steps that only some molds have; they are drawn on their own, not with the timed cycle.
    means_s : dict of ndarray (replications,), optional
        Mean that each element is scaled to in a replication, over the cycles after the first `skip`. An element that
        none of them has takes its mean in every cycle. [s]

    Returns
    -------
    ndarray (cycles, K, replications)
        Durations. [s]
    """
    found = np.empty((rows.shape[0], len(net.activities), rows.shape[1]))
    for k, a in enumerate(net.activities):
        if a.constant_s is not None:
            own = np.array(a.constant_sample_s)
            found[:, k] = changed_s(a, own[rng.integers(0, len(own), rows.shape)] if len(own) > 1 else own[0])
            continue
        seconds = elements[a.element][rows]
        found[:, k] = changed_s(a, seconds if means_s is None else _scaled(seconds, means_s[a.element], skip))
    return found


def _scaled(seconds: NDArray[np.float64], mean_s: NDArray[np.float64], skip: int) -> NDArray[np.float64]:
    mean = seconds[skip:].mean(axis=0)
    ratio = np.divide(mean_s, mean, out=np.zeros_like(mean), where=mean > 0)
    return np.where(mean > 0, seconds * ratio, mean_s)


def changed_s(a: Activity, seconds: Any) -> Any:
    """Seconds of a step with what is asked of it, never below 0."""
    return np.maximum(seconds * a.factor - a.shorter_s, 0.0)


def left_out(net: Net, elements: dict[str, Any]) -> tuple[str, ...]:
    """Timed elements that no step of the chart takes: work that the mold cycle would forget."""
    used = {a.element for a in net.activities}
    return tuple(name for name in elements if name not in used)


def without_luck(
    drawn: NDArray[np.float64], happened_s: NDArray[np.float64], mean_s: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Means of runs without what few events happened to come in each: no error of the long run, by regression on it.

    Parameters
    ----------
    drawn : ndarray (replications,)
        Mean mold cycle of each run. [s]
    happened_s : ndarray (steps, replications)
        Mean seconds that each step of only some molds took in the run.
    mean_s : ndarray (steps,)
        The same in the long run. [s]
    """
    away = happened_s - mean_s[:, None]
    slope = np.linalg.lstsq((away - away.mean(axis=1, keepdims=True)).T, drawn - drawn.mean(), rcond=None)[0]
    return drawn - slope @ away
