"""What if: a second operator, mask loading inside or outside, a shorter stroke, one more mask. In: net. Out: net."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from coreset.case import Case
from coreset.case.kinds import MACHINE
from coreset.line.method_steps import OPERATOR, SETTER, Activity, Wait, net
from coreset.line.mold_cycle import MoldCycle, of_net
from coreset.line.rest import rest_of
from coreset.line.timed_steps import by_pair, chart_of, elements_of, targets

HALF = 0.5
SECOND = "operator 2"
SHORTER = 0.2
"""Share of its time that a shorter stroke takes off the setter's steps, where nothing else is asked."""
SIDES = (" (1)", " (2)")


@dataclass(frozen=True, slots=True, kw_only=True)
class LineChange:
    """One way to change a chart: its code, and the mold cycle it leads to beside the one it comes from."""

    code: str
    before: MoldCycle
    after: MoldCycle

    @property
    def saved_s(self) -> float:
        """Seconds a mold that it saves; below 0 it costs them. [s]"""
        return self.before.mean_s - self.after.mean_s


def second_operator(found: Iterable[Activity]) -> tuple[Activity, ...]:
    """A second operator on the other side does half of every step: the most that a second pair of hands can give."""
    given = tuple(found)
    both = {a.name for a in given if a.by == OPERATOR}

    def sides(waits: tuple[Wait, ...]) -> tuple[Wait, ...]:
        return tuple(replace(w, step=w.step + s) for w in waits for s in (SIDES if w.step in both else ("",)))

    made = []
    for a in given:
        if a.name not in both:
            made.append(replace(a, waits=sides(a.waits)))
            continue
        for side, who in zip(SIDES, (OPERATOR, SECOND), strict=True):
            made.append(replace(a, name=a.name + side, by=who, factor=a.factor * HALF, waits=sides(a.waits)))
    return tuple(made)


def loading(found: Iterable[Activity]) -> tuple[str, ...]:
    """Steps of operators that the setter waits for: loading of the mask."""
    given = tuple(found)
    by = {a.name: a.by for a in given}
    fed = {w.step for a in given if a.by == SETTER for w in a.waits}
    return tuple(a.name for a in given if a.name in fed and by[a.name] not in (MACHINE, SETTER))


def loading_outside(found: Iterable[Activity]) -> tuple[Activity, ...]:
    """The setter takes a mask loaded in the cycle before: loading is done while the machine runs.

    Loading then waits no longer for a step of its own cycle.
    """
    given = tuple(found)
    loads = loading(given)
    made = []
    for a in given:
        waits = a.waits
        if a.by == SETTER:
            waits = tuple(replace(w, cycles_back=1) if w.step in loads and not w.cycles_back else w for w in waits)
        if a.name in loads:
            waits = tuple(replace(w, cycles_back=max(w.cycles_back, 1)) for w in waits)
        made.append(replace(a, waits=waits))
    return tuple(made)


def loading_inside(found: Iterable[Activity]) -> tuple[Activity, ...]:
    """The mask is loaded only once the machine has ended its last cycle: what loading costs without a place for it."""
    given = tuple(found)
    loads = loading(given)
    last = next((a.name for a in reversed(given) if a.by == MACHINE), None)
    if last is None:
        return given
    made = []
    for a in given:
        waits = a.waits
        if a.name in loads:
            waits = (*waits, Wait(step=last, cycles_back=1))
        if a.by == SETTER:
            waits = tuple(replace(w, cycles_back=0) if w.step in loads else w for w in waits)
        made.append(replace(a, waits=waits))
    return tuple(made)


def shorter_stroke(found: Iterable[Activity], *, share: float = SHORTER) -> tuple[Activity, ...]:
    """The setter's own steps take so much less of their time."""
    return tuple(replace(a, factor=a.factor * (1 - share)) if a.by == SETTER else a for a in found)


def one_more_mask(found: Iterable[Activity]) -> tuple[Activity, ...]:
    """With a mask more, loading waits for the mask of a cycle further back, and the setter takes one loaded before."""
    given = tuple(found)
    loads = loading(given)
    by = {a.name: a.by for a in given}
    made = []
    for a in given:
        further = [w.step for w in a.waits if (a.name in loads and by[w.step] == SETTER)]
        waits = tuple(replace(w, cycles_back=w.cycles_back + 1) if w.step in further else w for w in a.waits)
        made.append(replace(a, waits=waits))
    return tuple(made)


CHANGES: dict[str, Callable[[Iterable[Activity]], tuple[Activity, ...]]] = {
    "second_operator": second_operator,
    "loading_outside": loading_outside,
    "loading_inside": loading_inside,
    "shorter_stroke": shorter_stroke,
    "one_more_mask": one_more_mask,
}


def what_ifs(
    case: Case,
    standards: Iterable[Any],
    *,
    pair: tuple[str, str],
    replications: int = 2_000,
    seed: int | None = None,
) -> tuple[LineChange, ...]:
    """Every change that alters the chart of one pattern and method, on the same drawn cycles.

    Parameters
    ----------
    case, standards
        As for `mold_cycles`.
    pair : tuple
        Pattern and method.
    replications : int
        Resampled studies.
    seed : int, optional
        Seed; the case's own if left out.

    Returns
    -------
    tuple of LineChange
        Changes that leave the chart as it is (no mask to load, no setter) are left out.
    """
    timed = by_pair(standards).get(pair)
    found = chart_of(case, *pair, timed)
    if found is None:
        return ()
    rest = None if timed is None else rest_of(case, case.method(pair[1]), timed)
    elements, means_s = elements_of(timed, rest), targets(timed, rest, replications)
    chosen = case.seed if seed is None else seed

    def calculated(activities: tuple[Activity, ...]) -> MoldCycle:
        rng = np.random.default_rng((chosen, 0))
        return of_net(net(activities), elements, name=pair, targets=means_s, replications=replications, rng=rng)

    before = calculated(found)
    changed = ((code, change(found)) for code, change in CHANGES.items())
    return tuple(
        LineChange(code=code, before=before, after=calculated(made)) for code, made in changed if made and made != found
    )
