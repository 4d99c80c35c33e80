"""Which studies count for the standard of a pattern and method, and which of those that count do not agree."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.stats import chi2

from coreset.study.notes import StudyNote
from coreset.study.standard import Standard

OPERATOR_SD, DAY_SD = 0.05, 0.02
"""Usual differences between operators and between days, as shares of the standard: own choice, no source."""
LEAST_CHANCE = 0.01
"""Chance below which studies are said to differ beyond it."""
LEAST_VARIANCE = 1e-6


def groups(found: Iterable[Standard]) -> dict[tuple[str, str], list[Standard]]:
    """Standards by pattern and method, in their order."""
    rows: dict[tuple[str, str], list[Standard]] = {}
    for row in found:
        rows.setdefault((row.pattern, row.method), []).append(row)
    return rows


def counting(found: Iterable[Standard]) -> tuple[Standard, ...]:
    """The standards that count, in their order.

    Of each pattern and method the current ones, where there are none the ones on trial; of them those of the newest
    version of the method; of them those divided into the same regular elements as the newest. Nothing is averaged over
    versions or over studies of different elements.

    Parameters
    ----------
    found : iterable of Standard
        One a study, or estimated.

    Returns
    -------
    tuple of Standard
    """
    rows = list(found)
    kept = {id(row) for own in groups(rows).values() for row in _alike(_newest(_current(own)))}
    return tuple(row for row in rows if id(row) in kept)


def challenges(found: Iterable[Standard]) -> Iterator[StudyNote]:
    """What is doubtful about the studies of each pattern and method: nothing of it is fatal, all of it is told.

    Codes `trial_only`, `older_version`, `elements_differ` (with the elements that only some have) and
    `studies_disagree` (with the percent by which the highest exceeds the lowest).
    """
    for (pattern, method), rows in groups(found).items():
        at = {"pattern": pattern, "method": method}
        stated = _current(rows)
        newest = _newest(stated)
        alike = _alike(newest)
        if any(row.status == "trial" for row in stated):
            yield StudyNote(code="trial_only", blanks=at)
        if older := [row.study for row in stated if row not in newest]:
            yield StudyNote(code="older_version", blanks=at | {"element": ", ".join(older)})
        if len(alike) < len(newest):
            yield StudyNote(code="elements_differ", blanks=at | {"element": ", ".join(_unlike(newest))})
        if chance_of(alike) < LEAST_CHANCE:
            values = [row.standard_s for row in alike]
            yield StudyNote(code="studies_disagree", blanks=at | {"percent": 100 * (max(values) / min(values) - 1)})


def _current(rows: Sequence[Standard]) -> list[Standard]:
    current = [row for row in rows if row.status == "current"]
    return current or [row for row in rows if row.status == "trial"]


def _newest(rows: Sequence[Standard]) -> list[Standard]:
    """Those of the version that came last: by its latest day, else by its number."""
    latest: dict[str, str] = {}
    for row in rows:
        latest[row.version] = max(latest.get(row.version, ""), row.effective)
    last = max(latest, key=lambda version: (latest[version], _ordered(version)), default="")
    return [row for row in rows if row.version == last]


def _ordered(version: str) -> list[tuple[int, str]]:
    """A version by its numbers as numbers, so that 10 comes after 9."""
    return [(int(part), "") if part.isdigit() else (-1, part) for part in re.findall(r"\d+|\D+", version)]


def _regular(row: Standard) -> frozenset[str]:
    return frozenset(element.element for element in row.elements if not element.occasional)


def _alike(rows: Sequence[Standard]) -> list[Standard]:
    """Those divided as the newest is; of several of one day as the one with the most cycles."""
    newest = max(rows, key=lambda row: (row.effective, row.cycles), default=None)
    return [row for row in rows if newest is not None and _regular(row) == _regular(newest)]


def _unlike(rows: Sequence[Standard]) -> list[str]:
    """Regular elements that only some of the studies have, in the order of the studies."""
    lists = [[element.element for element in row.elements if not element.occasional] for row in rows]
    names = dict.fromkeys(name for each in lists for name in each)
    return [name for name in names if not all(name in each for each in lists)]


def chance_of(rows: Sequence[Standard]) -> float:
    """Chance that studies of one job differ as much as these: 1 where there are fewer than two.

    The weighted squares of the logs of the standards about their mean, against chi-square with one degree less than
    studies. Each study has the variance of its own cycles; operators and days differ by their usual amount, and studies
    of one operator share the operator's.

    Parameters
    ----------
    rows : sequence of Standard

    Returns
    -------
    float
        Between 0 and 1.

    References
    ----------
    Generalized least squares about a common mean; the usual differences are our own choice, no source.
    """
    rows = [row for row in rows if row.standard_s > 0]
    if len(rows) < 2:
        return 1.0
    logs = np.log([row.standard_s for row in rows])
    same = np.array([[a.operator == b.operator for b in rows] for a in rows])
    spread = np.diag([_own_variance(row) + DAY_SD**2 for row in rows]) + OPERATOR_SD**2 * same
    weights = np.linalg.solve(spread, np.ones(len(rows)))
    off: NDArray[np.float64] = logs - weights @ logs / weights.sum()
    return float(chi2.sf(off @ np.linalg.solve(spread, off), len(rows) - 1))


def _own_variance(row: Standard) -> float:
    """Relative variance of a standard by its cycles: that of its draws less the rater's part in them."""
    manual = sum(element.standard_s for element in row.elements if element.kind == "manual")
    rater = row.rater_sd_pct / 100 * min(1.0, manual / row.standard_s)
    whole = float(np.var(row.draws_s)) / row.standard_s**2
    return max(whole - rater**2, LEAST_VARIANCE) if math.isfinite(whole) else LEAST_VARIANCE
