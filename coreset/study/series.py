"""Times of one element, or of the whole cycle, in the order taken, with what was set aside and what looks odd."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.case import Study
from coreset.study.cycle_sums import cycle_times, sums
from coreset.study.element_times import element_times
from coreset.study.outliers import flagged

MOST_DRAWN = 600
"""Points that a chart of times in their order shows; of more, evenly chosen ones and those that stand out."""
WHOLE = ""
"""In place of an element's name: the whole cycle, all regular elements together."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Series:
    """Observed times in the order taken, each array (n,). `used` ones enter the standard; `odd` ones look odd.

    `manual`: whether it is one element, done by hand.
    """

    element: str
    manual: bool
    cycle: NDArray[np.int64]
    seconds: NDArray[np.float64]
    used: NDArray[np.bool_]
    odd: NDArray[np.bool_]

    @property
    def kept(self) -> NDArray[np.float64]:
        """The times that enter the standard."""
        return self.seconds[self.used]


def regular(study: Study) -> list[str]:
    """Elements that come in every cycle, in the order of the work."""
    return [element.name for element in study.elements if not element.occasional]


def series(study: Study, element: str = WHOLE) -> Series:
    """Times of an element or of the whole cycle; excluded ones stay in, marked.

    Parameters
    ----------
    study : Study
        With its readings and corrections.
    element : str
        Name of a regular element; empty for the whole cycle.
    """
    return next(row for row in every_series(study) if row.element == element)


def every_series(study: Study) -> tuple[Series, ...]:
    """The whole cycle and each regular element, from one pass over the readings."""
    cycle, columns = _columns(study, keep=True)
    kept = _columns(study, keep=False)[0] if study.corrections else cycle
    by_hand = {element.name for element in study.elements if element.kind == "manual"}
    whole = np.sum(list(columns.values()), axis=0)
    return tuple(
        Series(element=name, manual=name in by_hand, cycle=cycle, seconds=times, used=np.isin(cycle, kept),
               odd=flagged(times))
        for name, times in ((WHOLE, whole), *columns.items())
    )  # fmt: skip


def _columns(study: Study, *, keep: bool) -> tuple[NDArray[np.int64], dict[str, NDArray[np.float64]]]:
    """Numbers of the whole cycles, and the times of each regular element in them."""
    found = sums(study, element_times(study, keep_excluded=keep))
    names = regular(study)
    place = [i for i, element in enumerate(study.elements) if not element.occasional]
    times = cycle_times(found, found.observed)[:, place]
    return found.cycle[found.whole], dict(zip(names, times.T, strict=True))


def drawn(count: int, marked: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Places to draw of so many: all, or evenly chosen ones with the first of those that stand out.

    Examples
    --------
    >>> places = drawn(10_000, np.arange(10_000) == 17)
    >>> len(places) <= MOST_DRAWN, 17 in places
    (True, True)
    """
    if count <= MOST_DRAWN:
        return np.arange(count)
    out = np.flatnonzero(marked)[: MOST_DRAWN // 2]
    evenly = np.linspace(0, count - 1, MOST_DRAWN - len(out)).astype(int)
    return np.unique(np.concatenate([out, evenly]))
