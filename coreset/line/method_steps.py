"""A method's steps as links of a net: who does what, after what, of this cycle or one before.

In: the steps of a method for one pattern. Out: a `Net`, in an order in which it can be calculated.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from coreset.case import Method, Step
from coreset.case.kinds import INDEX, MACHINE
from coreset.errors import OutOfRange

SETTER = "setter"
OPERATOR = "operator"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """A step waits for another of the cycle `cycles_back` before its own (0 is the same), and `delay_s` after it."""

    step: str
    cycles_back: int = 0
    delay_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Activity:
    """One step as it enters the chart; `factor` and `shorter_s` are for asking what if.

    A step whose `turns` is n is done by n people in turn, each of them every n-th mold. `event` marks a moment that
    takes no time, such as a mold leaving a station. `sample_s` are equally likely seconds of a step that only some
    molds have, `constant_s` their mean.
    """

    name: str
    by: str
    element: str = ""
    constant_s: float | None = None
    source: str = ""
    waits: tuple[Wait, ...] = ()
    window_s: float = 0.0
    factor: float = 1.0
    shorter_s: float = 0.0
    turns: int = 1
    event: bool = False
    sample_s: tuple[float, ...] = ()

    @property
    def constant_sample_s(self) -> tuple[float, ...]:
        """Seconds to draw from of a step that is not timed, its constant alone where all molds are alike. [s]"""
        return self.sample_s or (float(self.constant_s or 0.0),)


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """Activities in the order of the work, and the same in an order in which each comes after what it waits for.

    `before[k]` is the activity that the same worker or machine does just before activity k, as (index, cycles back).
    """

    activities: tuple[Activity, ...]
    order: tuple[int, ...]
    before: tuple[tuple[int, int], ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the activities."""
        return tuple(a.name for a in self.activities)

    @property
    def who(self) -> tuple[str, ...]:
        """Everyone who takes part, in order of first appearance."""
        return tuple(dict.fromkeys(a.by for a in self.activities))

    def waits(self, k: int) -> tuple[tuple[int, int], ...]:
        """What activity k waits for, as (index, cycles back)."""
        names = self.names
        return tuple((names.index(w.step), w.cycles_back) for w in self.activities[k].waits)

    def delays_s(self, k: int) -> tuple[float, ...]:
        """Seconds after each of `waits(k)` that activity k waits on."""
        return tuple(w.delay_s for w in self.activities[k].waits)

    @property
    def reach(self) -> int:
        """Most cycles that any link reaches back."""
        return max([1, *(a.turns for a in self.activities), *(w.cycles_back for a in self.activities for w in a.waits)])


def activities(method: Method, pattern: str, *, core_window_s: float = 0.0) -> tuple[Activity, ...]:
    """The steps of a method that exist for a pattern.

    Where no step states a window of its own, the line's core window goes to the first step of each worker, or of the
    setter, that waits for the machine in the same cycle: that much of it may be done before the machine is ready.

    Parameters
    ----------
    method : Method
        Its steps, crew and operators.
    pattern : str
        Steps of other patterns are left out.
    core_window_s : float
        Time before the machine is ready in which cores may be set; 0 for none. [s]
    """
    steps = [s for s in method.steps if not s.patterns or pattern in s.patterns]
    known = {s.name for s in steps} | {INDEX}
    turns = method.operators if method.crew == "alternate molds" else 1
    found = tuple(_activity(step, known, turns) for step in steps)
    if core_window_s <= 0 or any(a.window_s for a in found):
        return found
    by = {a.name: a.by for a in found}
    seen: set[str] = set()
    given = []
    for a in found:
        first = a.by not in seen and any(by[w.step] == MACHINE and not w.cycles_back for w in a.waits)
        takes = first and a.by != MACHINE
        seen |= {a.by} if takes else set()
        given.append(replace(a, window_s=core_window_s) if takes else a)
    return tuple(given)


def _activity(step: Step, known: set[str], turns: int) -> Activity:
    """A step; what it waits for is left out where that step does not exist for the pattern."""
    waits = [Wait(step=name) for name in step.after if name in known]
    waits += [Wait(step=name, cycles_back=step.cycles_back) for name in step.after_previous if name in known]
    element = step.element or ("" if step.constant_s is not None else step.name)
    return Activity(
        name=step.name,
        by=step.by,
        element=element,
        constant_s=None if step.element else step.constant_s,
        source=step.source,
        waits=tuple(waits),
        window_s=step.window_s,
        turns=turns if step.by == OPERATOR else 1,
    )


def net(found: Iterable[Activity]) -> Net:
    """The net of a mold cycle.

    Raises
    ------
    OutOfRange
        If a name is used twice, a step waits for one that does not exist, or steps wait for each other in a ring
        within one cycle.
    """
    given = tuple(found)
    names = [a.name for a in given]
    if not given or len(set(names)) != len(names):
        raise OutOfRange(f"steps of a method must exist and have names of their own, got {', '.join(names) or 'none'}")
    for a in given:
        for wait in a.waits:
            if wait.step not in names or wait.cycles_back < 0:
                raise OutOfRange(f"step {a.name!r} must wait for a step of its method, got {wait.step!r}")
    before = tuple(_before(given, k) for k in range(len(given)))
    return Net(activities=given, order=_order(given, names, before), before=before)


def _before(given: tuple[Activity, ...], k: int) -> tuple[int, int]:
    own = [i for i, a in enumerate(given) if a.by == given[k].by]
    place = own.index(k)
    return (own[place - 1], 0) if place else (own[-1], given[k].turns)


def _order(given: tuple[Activity, ...], names: list[str], before: tuple[tuple[int, int], ...]) -> tuple[int, ...]:
    first = [{names.index(w.step) for w in a.waits if not w.cycles_back} for a in given]
    for k, (previous, back) in enumerate(before):
        first[k] |= set() if back else {previous}
    order: list[int] = []
    while len(order) < len(given):
        free = [k for k in range(len(given)) if k not in order and first[k] <= set(order)]
        if not free:
            ring = ", ".join(names[k] for k in range(len(given)) if k not in order)
            raise OutOfRange(f"steps of one cycle must not wait for each other in a ring, got {ring}")
        order.append(free[0])
    return tuple(order)
