"""The working of figures that come from draws: which draw in order, how many of them, the mean of what."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike

from coreset.report.numbers import SPACE, listed, number, worked
from coreset.text import message, say
from coreset.working import Working


def seeded(seed: int | None) -> str:
    """With what the draws can be drawn again; nothing where that is not known."""
    return "" if seed is None else say("brief.drawn.seed", seed=seed)


def _place(count: int, share: float) -> int:
    return int(np.quantile(np.arange(count), share, method="higher"))


def nth(what: str, draws: ArrayLike, share: float, *, unit: str = "", where: str = "") -> Working:
    """The draw below which so large a share lies, as the ends of the money's intervals are taken.

    Parameters
    ----------
    what : str
        What the figure is, in words.
    draws : array_like, (n,)
        The figure in each run.
    share : float
        Share of the runs below. [-]
    unit, where : str
        Its unit, and what it was drawn with.

    Examples
    --------
    >>> line = nth("low end", [4.0, 1.0, 3.0, 2.0, 5.0, 7.0, 6.0, 8.0, 9.0, 10.0], 0.1)
    >>> line.numbers, line.value
    ('no. 2 of 10 in order', 2.0)
    """
    known = np.sort(np.asarray(draws, dtype=float))
    at = _place(len(known), share)
    return Working(
        what=what,
        formula=say("brief.drawn.nth", share=f"{share:g}"),
        numbers=say("brief.drawn.of", at=number(at + 1), all=number(len(known))),
        value=float(known[at]),
        unit=unit,
        where=where,
    )


def three(what: str, draws: ArrayLike, shares: Sequence[float], *, unit: str = "", where: str = "") -> Working:
    """Low end, middle and high end in one line; the value is the middle.

    Parameters
    ----------
    what : str
        What the figure is, in words.
    draws : array_like, (n,)
        The figure in each run.
    shares : sequence of float, (3,)
        Shares of the runs below each. [-]
    unit, where : str
        Its unit, and what it was drawn with.

    Examples
    --------
    >>> three("run", range(1, 12), (0.1, 0.5, 0.9)).numbers
    'no. 2, 6 and 10 of 11 in order: 2, 6 and 10'
    """
    known = np.sort(np.asarray(draws, dtype=float))
    at = [_place(len(known), share) for share in shares]
    places = say("brief.drawn.of", at=listed(number(k + 1) for k in at), all=number(len(known)))
    return Working(
        what=what,
        formula=say("brief.drawn.three", share=", ".join(f"{share:g}" for share in shares)),
        numbers=f"{places}: {listed(number(float(known[k])) for k in at)}",
        value=float(known[at[1]]),
        unit=unit,
        where=where,
    )


def between_two(what: str, draws: ArrayLike, share: float, *, unit: str = "", where: str = "") -> Working:
    """The same, on the straight line between the two draws that it falls between.

    Parameters
    ----------
    what : str
        What the figure is, in words.
    draws : array_like, (n,)
        The figure in each run.
    share : float
        Share of the runs below. [-]
    unit, where : str
        Its unit, and what it was drawn with.

    Examples
    --------
    >>> line = between_two("low end", [4.0, 1.0, 3.0, 2.0], 0.025)
    >>> line.numbers, round(line.value, 4)
    ('1.0000 + 0.075 · (2.0000 − 1.0000); no. 1 and 2 of 4 in order', 1.075)
    """
    known = np.asarray(draws, dtype=float)
    known = np.sort(known[np.isfinite(known)])
    exact = share * (len(known) - 1)
    at = min(int(exact), max(0, len(known) - 2))
    low, high = float(known[at]), float(known[min(at + 1, len(known) - 1)])
    places = say("brief.drawn.of", at=listed([number(at + 1), number(at + 2)]), all=number(len(known)))
    return Working(
        what=what,
        formula=say("brief.drawn.between", share=f"{share:g}"),
        numbers=f"{worked(low)} + {number(exact - at, 3)} · ({worked(high)} − {worked(low)}); {places}",
        value=low + (exact - at) * (high - low),
        unit=unit,
        where=where,
    )


def counted(what: str, formula: str, happens: ArrayLike, *, where: str = "") -> Working:
    """The share of draws in which something happens.

    Parameters
    ----------
    what : str
        What the figure is, in words.
    formula : str
        With symbols.
    happens : array_like of bool, (n,)
        Whether it happens, in each run.
    where : str
        What it was drawn with.

    Examples
    --------
    >>> counted("chance", "n(NPV > 0) / n", [True, True, True, False]).numbers
    '3 / 4'
    """
    told = np.asarray(happens, dtype=bool)
    hits = int(told.sum())
    numbers, value = f"{number(hits)} / {number(told.size)}", 100.0 * hits / told.size
    return Working(what=what, formula=formula, numbers=numbers, value=value, unit="%", where=where)


def mean_of(what: str, formula: str, draws: ArrayLike, *, unit: str = "", where: str = "") -> Working:
    """The mean of the draws: their sum and their number.

    Parameters
    ----------
    what : str
        What the figure is, in words.
    formula : str
        With symbols.
    draws : array_like, (n,)
        The figure in each run.
    unit, where : str
        Its unit, and what it was drawn with.

    Examples
    --------
    >>> mean_of("mean", "Σx / n", [1.0, 2.0, 4.5]).numbers
    '7.5 / 3'
    """
    known = np.asarray(draws, dtype=float)
    total, value = float(known.sum()), float(known.mean())
    numbers = f"{number(total, 1 if abs(value) < 1000 else 0)} / {number(known.size)}"
    return Working(what=what, formula=formula, numbers=numbers, value=value, unit=unit, where=where)


def both_ends(
    names: Mapping[str, str], draws: ArrayLike, shares: Sequence[float], *, unit: str = "", where: str = ""
) -> list[Working]:
    """Lower and upper end on the straight line between two draws; nothing where nothing was drawn.

    Parameters
    ----------
    names : mapping of str to str
        What each end is, in words.
    draws : array_like, (n,)
        The figure in each run.
    shares : sequence of float, (2,)
        Shares of the runs below each. [-]
    unit, where : str
        Its unit, and what it was drawn with.
    """
    if not np.isfinite(np.asarray(draws, dtype=float)).any():
        return []
    ends = zip(names.values(), shares, strict=True)
    return [between_two(what, draws, share, unit=unit, where=where) for what, share in ends]


def result(line: Working) -> str:
    """The value of a line of working in the digits that it can be compared in, with its unit; no unit at `never`."""
    text = worked(line.value)
    return (
        f"{text}{SPACE if line.unit == '%' else ' '}{message(line.unit)}"
        if line.unit and np.isfinite(line.value)
        else text
    )
