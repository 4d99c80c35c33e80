"""Single readings of one element, to be judged one by one: time, whether it counts, whether it may be an outlier."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coreset.case import Study
from coreset.study.element_times import element_times
from coreset.study.outliers import flagged


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One reading of an element. `state`: used, outlier (possible, still used) or excluded; `seconds` is its time."""

    seq: int
    cycle: int
    seconds: float
    state: str


def judged(study: Study, element: str) -> tuple[Judged, ...]:
    """Readings of an element in the order taken, those that were excluded among them.

    Parameters
    ----------
    study : Study
        With its readings and corrections.
    element : str
        Name of one of its elements; occasional ones too.

    Returns
    -------
    tuple of Judged
        Time of each whole reading [s]; a possible outlier is flagged among the readings that are used.

    References
    ----------
    [tukey1977] fences and [rosner1983], as `outliers.flagged`.
    """
    place = next(i for i, one in enumerate(study.elements) if one.name == element)
    every, now = element_times(study, keep_excluded=True), element_times(study)
    here = np.flatnonzero(every.good & (every.element == place))
    excluded = now.excluded[here]
    odd = np.zeros(len(here), bool)
    odd[~excluded] = flagged(every.seconds[here[~excluded]])
    states = np.where(excluded, "excluded", np.where(odd, "outlier", "used"))
    return tuple(
        Judged(seq=int(every.seq[i]), cycle=int(every.cycle[i]), seconds=float(every.seconds[i]), state=str(state))
        for i, state in zip(here, states, strict=True)
    )


def first_to_judge(study: Study) -> str:
    """The element that has the most possible outliers, the first of them; the first element where none has any."""
    counts = [sum(one.state == "outlier" for one in judged(study, element.name)) for element in study.elements]
    return study.elements[int(np.argmax(counts))].name if counts else ""
