"""Running time of the line for a mold: with the mold cycle as it is, at shares of it, and with changes of pattern.

In: a plan. Out: a `LinePace`, all of it on the same draws.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coreset.line.delay_causes import COOLING, roots, waits
from coreset.line.departures import Passage
from coreset.line.line_plan import LinePlan
from coreset.line.net_run import limiting_part
from coreset.line.service_times import Services, pattern_changes_s, services
from coreset.line.simulation import limiting, passed, took_s

ERROR_STREAM = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePace:
    """Running time of the line for a mold, on one set of draws.

    `mold_s` is the mean for each share of the mold cycle asked for, pattern changes left out; `change_s` what a change
    of each length asked for takes after the line has caught up; `slowest_s` the slowest part alone, `bare_s` the line
    without its stops. [s] `limited_by` is the part that limits at the whole mold cycle. `mold_cv`: standard deviation
    over mean of the time of the molds counted, times the root of their number. `deviation` of each replication's time
    from the mean of all, as a share of it, (replications,).
    """

    mold_s: NDArray[np.float64]
    change_s: tuple[float, ...]
    slowest_s: float
    bare_s: float
    limited_by: str
    mold_cv: float
    deviation: NDArray[np.float64]

    def simulation_error(self, count: int, seed: int) -> NDArray[np.float64]:
        """What the mean time may really be over that of these few replications, drawn, (count,). [-]

        Lines run with the same seed have common random numbers: their errors come from the same draws, so that most of
        it falls out of their difference. A single replication shows none.
        """
        runs = len(self.deviation)
        if runs < 2:
            return np.ones(count)
        rng = np.random.default_rng((seed, ERROR_STREAM))
        widened = np.sqrt((runs - 1) / rng.chisquare(runs - 1, count)) / math.sqrt(runs * (runs - 1))
        return np.exp(rng.standard_normal((count, runs)) @ self.deviation * widened)


def line_pace(
    found: LinePlan, *, shares: Sequence[float], changes_s: Sequence[float], replications: int, seed: int
) -> LinePace:
    """Run the line with the mold cycle as it is, at shares of it, and with changes, all on the same draws.

    A change takes as long as it holds up the last station, less what the line catches up. Runs longer than the molds
    counted are run as long as these, so that each replication has its change.

    Parameters
    ----------
    found : LinePlan
        The line, its runs' molds; its own change is left out.
    shares : sequence (F,)
        Times the mold cycle; 1 is the mold cycle of the plan. [-]
    changes_s : sequence
        Lengths of a change before every run, in running time. [s]
    replications, seed : int
        Of the one block that is run.

    Returns
    -------
    LinePace
        Means over the replications.
    """
    key, size = (seed, 0), (found.warm_up + found.counted, replications)
    drawn = services(found.works, found.stops, size=size, key=key)
    changes = [_changes(found, lasts, size, key) for lasts in changes_s]
    front, first = drawn.total_s[: found.front], found.first
    variants = [front, *(_front(found, share, size, key) for share in shares), *(front.copy() for _ in changes)]
    for variant, change in zip(variants[1 + len(shares) :], changes, strict=True):
        variant[first] += change
    seconds = np.tile(drawn.total_s, (1, 1, len(variants)))
    seconds[: found.front] = np.concatenate(variants, axis=-1)
    times = passed(found, seconds)
    runs = took_s(found, times).reshape(len(variants), replications)
    each = runs.mean(axis=1)
    own = Passage(start=times.start[..., :replications], leave=times.leave[..., :replications])
    cooling = found.cooling_s * found.counted / found.cooling_places
    alone = np.maximum(_alone_s(found, drawn).max(axis=0), cooling)
    felt = [
        max(float(took - each[0]), 0.0) * replications * lasts / float(change[found.warm_up :].sum() or 1.0)
        for took, lasts, change in zip(each[1 + len(shares) :], changes_s, changes, strict=True)
    ]
    return LinePace(
        mold_s=each[1 : 1 + len(shares)] / found.counted,
        change_s=tuple(felt),
        slowest_s=float(alone.mean()) / found.counted,
        bare_s=_bare_s(found, drawn, runs[0]),
        limited_by=_limiting(found, own, drawn),
        mold_cv=float(runs[0].std() / each[0]) * math.sqrt(found.counted),
        deviation=runs[0] / each[0] - 1.0,
    )


def _bare_s(found: LinePlan, drawn: Services, took: NDArray[np.float64]) -> float:
    """Mean time for a mold without any stop, on the same draws; `took` is that of the runs with stops. [s]"""
    seconds = took_s(found, passed(found, drawn.work_s)) if drawn.added else took
    return float(seconds.mean()) / found.counted


def _changes(found: LinePlan, lasts_s: float, size: tuple[int, int], key: tuple[int, ...]) -> NDArray[np.float64]:
    """Seconds that changes add to molds; at least one in the molds counted."""
    return pattern_changes_s(*size, run_molds=min(found.run_molds, float(found.counted)), lasts_s=lasts_s, key=key)


def _front(found: LinePlan, share: float, size: tuple[int, int], key: tuple[int, ...]) -> NDArray[np.float64]:
    """Seconds of every mold in the mold cycle, stops in them, were each step of it that share of itself."""
    works = tuple(replace(work, seconds=work.seconds * share) for work in found.works[: found.front])
    return services(works, found.stops, size=size, key=key).total_s


def _alone_s(found: LinePlan, drawn: Services) -> NDArray[np.float64]:
    """Seconds that each station, or each worker of a net, is busy or stopped for the molds counted, by replication."""
    each = drawn.total_s[:, found.warm_up :].sum(axis=1)
    if found.net is None:
        return each
    steps = found.net.activities
    own = ([k for k, a in enumerate(steps) if a.by == who] for who in found.net.who)
    return np.stack([each[ks].sum(axis=0) / max(steps[k].turns for k in ks) for ks in own])


def _limiting(found: LinePlan, times: Passage, drawn: Services) -> str:
    """What limits a run; see `limiting` and `limiting_part`."""
    if found.net is not None:
        return limiting_part(found, times)
    seen, kept = waits(found, times, drawn), slice(found.warm_up, None)
    standing = {
        name: float((seen.blocked[j, kept] + seen.starved[j, kept]).mean()) for j, name in enumerate(found.stations)
    }
    poured = found.poured
    cooling = roots(seen, poured).get(("blocked", COOLING, ""), 0.0) if found.cooling_s > 0 else 0.0
    return limiting(standing, cooling)
