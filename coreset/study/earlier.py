"""What earlier studies of a job show of its elements, to hold a new study against."""

from __future__ import annotations

import numpy as np

from coreset.case import Case, Study
from coreset.errors import CoresetError
from coreset.study.element_times import element_times


def known_seconds(case: Case, study: Study) -> dict[str, float]:
    """Mean observed time of each element in the other studies of the same pattern and method.

    Parameters
    ----------
    case : Case
    study : Study
        The study that is left out.

    Returns
    -------
    dict of str to float
        By element; one without a whole reading is left out. [s]
    """
    found: dict[str, list[float]] = {}
    for other in case.studies_of(pattern=study.pattern, method=study.method):
        if other.study == study.study or not len(other.readings):
            continue
        try:
            timed = element_times(other)
        except CoresetError:
            continue
        for place, element in enumerate(other.elements):
            times = timed.seconds[timed.good & (timed.element == place)]
            found.setdefault(element.name, []).extend(times[np.isfinite(times)])
    return {name: float(np.mean(times)) for name, times in found.items() if times}
