"""A model on arrays: values of its figures for all runs, in blocks that fit the processor's cache.

Every value is an array (patterns, years, runs) whose axes have length 1 where it does not vary, so that what is
constant costs nothing further on.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.errors import OutOfRange
from coreset.figures.compiled import compiled
from coreset.figures.grammar import function_name, name_of
from coreset.figures.model import Model
from coreset.figures.plainer import MEAN, Known

Array = NDArray[np.float64]
FLAT_CELLS, YEARLY_CELLS, LEAST_BLOCK = 40_000, 250_000, 256
"""Cells of a block: patterns x runs where volumes are the same every year, patterns x years x runs where not; runs at
least."""
UNUSED = 4_000_000
"""Numbers in an array that is made and dropped before the first block: freeing it makes the allocator keep what blocks
free, which otherwise costs more than the arithmetic."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """How many patterns, years and runs, and the order of the patterns by the figures that `ahead` ranks by."""

    patterns: int
    years: int
    runs: int = 1
    order: Mapping[str, NDArray[np.int64]] | None = None


def shaped(model: Model, key: str, value: ArrayLike, size: Size) -> Array:
    """One input as an array (patterns or 1, years or 1, runs or 1).

    Accepted are a number; the input's own axes in the order pattern, year; and the same with runs as a last axis.

    Parameters
    ----------
    model : Model
        The declarations.
    key : str
        Key of the input.
    value : array_like
        Its values, in the unit declared.
    size : Size
        Patterns, years, runs.

    Raises
    ------
    OutOfRange
        If the shape fits none of these.
    """
    array = np.asarray(value, dtype=float)
    lengths = {"p": size.patterns, "q": size.patterns, "y": size.years}
    axes = model.inputs[key].axes
    if array.ndim == 3:
        found = array
    elif array.ndim == 0:
        found = array.reshape(1, 1, 1)
    else:
        own = array.shape[: len(axes)]
        rest = array.shape[len(axes) :]
        places = [1, 1]
        for axis, length in zip(axes, own, strict=False):
            places["pqy".index(axis) > 0] = length
        found = array.reshape(*places, *rest) if len(rest) == 1 else array.reshape(*places, 1)
    limits = [lengths["p"] if "p" in axes else 1, lengths["y"] if "y" in axes else 1, size.runs]
    limits[1] = size.patterns if "q" in axes else limits[1]
    if any(have not in {1, most} for have, most in zip(found.shape, limits, strict=True)):
        raise OutOfRange(f"{key} must fit {limits} patterns, years and runs, got {array.shape}")
    return found


def given(
    model: Model, inputs: Mapping[str, ArrayLike], size: Size, only: Collection[str] | None = None
) -> dict[str, Array]:
    """Inputs of a model as arrays, its defaults and built-in names among them.

    Parameters
    ----------
    model : Model
        The declarations.
    inputs : mapping of str to array_like
        Values by key, see :func:`shaped`.
    size : Size
        Patterns, years, runs.
    only : collection of str, optional
        Keys of the inputs that are needed; all if left out.

    Returns
    -------
    dict of str to ndarray, shape (patterns or 1, years or 1, runs or 1)

    Raises
    ------
    OutOfRange
        If an input without default is missing, or one is not known.
    """
    unknown = [key for key in inputs if key not in model.inputs]
    if unknown:
        raise OutOfRange(f"inputs must be declared, got {', '.join(unknown)}")
    found = {
        "year": np.arange(1.0, size.years + 1).reshape(1, -1, 1),
        "period": np.arange(size.years + 1.0).reshape(1, -1, 1),
        "years": np.full((1, 1, 1), float(size.years)),
        "never": np.full((1, 1, 1), np.inf),
    }
    for key, each in model.inputs.items():
        value = inputs.get(key, each.default)
        if value is not None and (only is None or key in only):
            found[key] = shaped(model, key, value, size)
    return found


def evaluate(
    model: Model,
    inputs: Mapping[str, ArrayLike],
    size: Size,
    *,
    keep: Iterable[str] = (),
    mean: Iterable[str] = (),
    block: int = 0,
    progress: Callable[[int], None] | None = None,
) -> dict[str, Array]:
    """Figures of a model for all runs.

    Parameters
    ----------
    model : Model
        The declarations.
    inputs : mapping of str to array_like
        Values by key, see :func:`shaped`.
    size : Size
        Patterns, years, runs.
    keep, mean : iterable of str
        Keys whose values of every run are returned, and keys of which the mean over the runs is.
    block : int
        Runs worked out at a time; 0 chooses. The result does not depend on it beyond the rounding of means.
    progress : callable, optional
        Told the number of runs of each block when it is done.

    Returns
    -------
    dict of str to ndarray, shape (patterns or 1, years or 1, runs or 1)
        By key, the time axis of a figure on the timeline one longer.

    Raises
    ------
    OutOfRange
        If an input that is needed is missing or of a wrong shape.
    """
    keep, mean = tuple(dict.fromkeys(keep)), tuple(dict.fromkeys(mean))
    targets = tuple(dict.fromkeys(keep + mean))
    needed = _inputs_behind(model, targets)
    values = {
        key: _cut(value) if value.shape[2] == 1 and "q" not in model.axes.get(key, "") else value
        for key, value in given(model, inputs, size, frozenset(needed)).items()
    }
    if missing := [key for key in needed if key not in values]:
        raise OutOfRange(f"inputs must be given, missing are {', '.join(missing)}")
    order = size.order if size.order is not None else _orders(model, values, size, targets)
    lengths = (size.patterns, size.years, size.years + 1, order)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        values |= _constant(model, values, targets, lengths)
        single = {key: value[0, 0, 0] for key, value in values.items() if value.size == 1}
        zero, one = (frozenset(key for key, value in single.items() if value == number) for number in (0, 1))
        flat = frozenset(key for key, value in values.items() if value.shape[2] == 1)
        figures = frozenset(values) & frozenset(model.figures)
        function = compiled(model, keep, Known(figures=figures, zero=zero, one=one, flat=flat), mean)
        pieces: list[tuple[int, dict[str, Array]]] = []
        if size.runs > LEAST_BLOCK:
            unused = np.empty(UNUSED)
            del unused
        step = block or _block(values, size)
        for start in range(0, size.runs, step):
            stop = min(start + step, size.runs)
            part = {k: v[:, :, start:stop] if v.shape[2] > 1 else v for k, v in values.items()}
            pieces.append((stop - start, _arrays(function(part, *lengths))))
            if progress is not None:
                progress(stop - start)
    return _joined(pieces, keep, mean, size.runs)


@lru_cache(maxsize=64)
def _inputs_behind(model: Model, targets: tuple[str, ...]) -> tuple[str, ...]:
    """Inputs that some targets rest on, sorted."""
    mentioned = {name for key in model.needed(targets) for name in model.needs(key)} | set(targets)
    return tuple(sorted(mentioned & set(model.inputs)))


def _constant(
    model: Model, values: Mapping[str, Array], targets: tuple[str, ...], lengths: tuple[Any, ...]
) -> dict[str, Array]:
    """Figures that do not vary from run to run, worked out once; axes along which they are equal have length 1."""
    varying = frozenset(key for key, value in values.items() if value.shape[2] > 1)
    wanted = _constant_keys(model, targets, varying) if varying else ()
    return {
        key: value if "t" in model.axes[key] else _cut(np.asarray(value, dtype=float))
        for key, value in (compiled(model, wanted)(values, *lengths) if wanted else {}).items()
    }


@lru_cache(maxsize=256)
def _constant_keys(model: Model, targets: tuple[str, ...], varying: frozenset[str]) -> tuple[str, ...]:
    """Figures behind targets that rest on nothing that varies, as far as others mention them."""
    moving, constant, used = set(varying), [], set(targets)
    for key in model.needed(targets):
        needs = set(model.needs(key))
        if needs & moving:
            moving.add(key)
            used |= needs
        else:
            constant.append(key)
    return tuple(key for key in constant if key in used)


def _cut(value: Array) -> Array:
    """The same with an axis of length 1 for patterns or years where all along it are equal."""
    for axis in (0, 1):
        first = value[:1] if axis == 0 else value[:, :1]
        value = first if (value == first).all() else value
    return value


def _block(values: Mapping[str, Array], size: Size) -> int:
    """Runs of one block, so that the work stays in the processor's cache."""
    yearly = any(v.shape[1] > 1 and v.shape[0] > 1 and k != "follow" for k, v in values.items())
    cells = YEARLY_CELLS // (size.patterns * size.years) if yearly else FLAT_CELLS // size.patterns
    return max(LEAST_BLOCK, cells)


def _arrays(found: dict[str, Array]) -> dict[str, Array]:
    """Values of the targets, a single number as an array of one."""
    arrays = {key: np.asarray(value, dtype=float) for key, value in found.items()}
    return {key: value if value.ndim else value.reshape(1, 1, 1) for key, value in arrays.items()}


def _joined(
    pieces: list[tuple[int, dict[str, Array]]], keep: Sequence[str], mean: Sequence[str], runs: int
) -> dict[str, Array]:
    """Blocks put together: runs side by side, means weighted by the runs behind them."""
    found: dict[str, Array] = {}
    for key in keep:
        arrays = [piece[key] for _, piece in pieces]
        flat = all(a.shape[2] == 1 for a in arrays) and runs > 1
        wide = [np.broadcast_to(a, (*a.shape[:2], n)) for a, (n, _) in zip(arrays, pieces, strict=True)]
        found[key] = arrays[0] if flat or len(arrays) == 1 else np.concatenate(wide, axis=2)
    for key in mean:
        total = sum((piece[f"{MEAN}{key}"] * (count / runs) for count, piece in pieces), np.zeros(1))
        found[key if key not in keep else f"{MEAN}{key}"] = total
    return found


@lru_cache(maxsize=64)
def _ranked(model: Model, targets: tuple[str, ...]) -> tuple[str, ...]:
    """Figures that `ahead` ranks the patterns by, behind some targets."""
    calls = [node for key in model.needed(targets) for node in ast.walk(model.trees[key]) if isinstance(node, ast.Call)]
    return tuple(dict.fromkeys(name_of(node.args[1]) for node in calls if function_name(node) == "ahead"))


def _orders(
    model: Model, values: Mapping[str, Array], size: Size, targets: tuple[str, ...]
) -> dict[str, NDArray[np.int64]]:
    """Order of the patterns, highest first and ties by place, by each figure that `ahead` ranks by, at mean inputs."""
    ranked = _ranked(model, targets)
    if not ranked:
        return {}
    means = {key: value.mean(axis=2, keepdims=True) for key, value in values.items() if key in model.inputs}
    one = replace(size, runs=1, order={})
    found = evaluate(model, means, one, keep=ranked)
    shape = (size.patterns,)
    return {
        key: np.argsort(-np.broadcast_to(value.mean(axis=(1, 2)), shape), kind="stable") for key, value in found.items()
    }
