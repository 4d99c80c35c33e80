"""Kinds of lines: what waits for what beyond a method's own steps. In: line, steps of a method. Out: the whole line.

All of it is one net: stations are workers of their own, and a moment such as a mold leaving a station is a step that
takes no time. A place is freed when the next station takes the mold; a finished mold holds its station until then.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from coreset.case import Line
from coreset.case.kinds import ACCUMULATING, FLASKS, INDEX, INDEXING, MACHINE, SHARED, STATION, TURNTABLE
from coreset.line.method_steps import Activity, Wait

LINE, CLOSER, POURER, WEIGHTS, SHAKE_OUT = "line", "closer", "pourer", "weights", "shake-out"
SETTING = "core setting"
MADE, OPENED, CLOSING, SET, POURED, DONE = (
    "mold leaves machine",
    "mold comes to core setting",
    "closing starts",
    "mold leaves core setting",
    "mold leaves pouring",
    "closed mold leaves",
)
CLOSE, POURING_STARTS, POUR, SHAKES, SHAKE = "closing", "pouring starts", "pouring", "shake-out starts", "shake-out"
Activities = tuple[Activity, ...]


def front_of(line: Line, steps: Sequence[Activity]) -> Activities:
    """A method's steps as far as the line from pouring on does not matter, with what its kind of line adds.

    Parameters
    ----------
    line : Line
        Its kind and times.
    steps : sequence of Activity
        Steps of one method; on an accumulating conveyor they come back as they are.

    Returns
    -------
    tuple of Activity
        On a line with an index all steps at the mold, the machine's and those that come after the index or after one of
        the machine's in their cycle, wait for it and hold the next one; other steps are done aside.
    """
    found = tuple(steps)
    if line.kind not in SHARED and INDEX not in {a.name for a in found}:
        found = tuple(replace(a, waits=tuple(w for w in a.waits if w.step != INDEX)) for a in found)
    if line.kind == ACCUMULATING or not found:
        return found
    return _FRONTS[line.kind](line, found)


def whole(line: Line, front: Sequence[Activity], *, cool_s: float) -> Activities:
    """The whole line from molding to shake-out: its front, then pouring, cooling and shake-out as its kind has them.

    Parameters
    ----------
    line : Line
        Not an accumulating conveyor, which is run station by station.
    front : sequence of Activity
        As `front_of` gives it.
    cool_s : float
        Least time from the end of pouring to shake-out. [s]

    Returns
    -------
    tuple of Activity
        Times of pouring are left at the line's own mean; the last is shake-out.
    """
    found = tuple(front)
    return _indexed_whole(line, found, cool_s) if line.kind == INDEXING else _row_whole(line, found, cool_s)


def at_mold(steps: Sequence[Activity]) -> tuple[str, ...]:
    """Names of steps at the mold: the machine's, and what comes after the index or one of the machine's in its cycle.

    Where none of either is stated every step is at the mold.
    """
    names = {a.name for a in steps if a.by == MACHINE} | {INDEX}
    more = True
    while more:
        after = {a.name for a in steps if any(w.step in names and not w.cycles_back for w in a.waits)}
        more = not after <= names
        names |= after
    found = tuple(a.name for a in steps if a.name in names)
    return found or tuple(a.name for a in steps)


def _event(name: str, by: str, *waits: Wait) -> Activity:
    return Activity(name=name, by=by, constant_s=0.0, waits=waits, event=True)


def _lasts(name: str, by: str, seconds: float, *waits: Wait) -> Activity:
    return Activity(name=name, by=by, constant_s=seconds, waits=waits)


def _with(steps: Sequence[Activity], name: str, *waits: Wait) -> Activities:
    return tuple(replace(a, waits=(*a.waits, *waits)) if a.name == name else a for a in steps)


def _machine(steps: Sequence[Activity]) -> tuple[str, ...]:
    return tuple(a.name for a in steps if a.by == MACHINE)


def _setting(steps: Sequence[Activity]) -> tuple[str, ...]:
    """Steps at the mold that are not the machine's."""
    own = _machine(steps)
    return tuple(name for name in at_mold(steps) if name not in own and name != INDEX)


def _indexed_front(line: Line, steps: Activities) -> Activities:
    """The index, which waits for all steps at the mold of the cycle before; the machine's first waits for it."""
    held = at_mold(steps)
    first = (_machine(steps) or held)[0]
    index = _lasts(INDEX, LINE, line.index_s, *(Wait(step=name, cycles_back=1) for name in held))
    return (*_with(steps, first, Wait(step=INDEX)), index)


def _turned_front(line: Line, steps: Activities) -> Activities:
    """As an index, but the mold that was set leaves the table by itself: the table waits for that."""
    own, done = _machine(steps), _setting(steps)
    leaves = _event(SET, SETTING, *(Wait(step=name) for name in done))
    index = _lasts(INDEX, LINE, line.index_s, *(Wait(step=name, cycles_back=1) for name in (*own, SET)))
    first = (own or done)[0]
    return (*_with(steps, first, Wait(step=INDEX)), leaves, index)


def _arriving(steps: Activities) -> Activities:
    """Steps of others that wait for one of the machine's wait for the mold to come to core setting instead."""
    own = set(_machine(steps))
    return tuple(
        replace(a, waits=tuple(replace(w, step=OPENED) if w.step in own and not w.cycles_back else w for w in a.waits))
        if a.by != MACHINE
        else a
        for a in steps
    )


def _station_front(line: Line, steps: Activities) -> Activities:
    """A core-setting station apart, with places between: it takes the next mold when the one before has left."""
    last, done, places = _machine(steps)[-1:], _setting(steps), line.setting_places
    beyond = Wait(step=OPENED, cycles_back=places) if places else Wait(step=SET, cycles_back=1)
    return (
        *_arriving(steps),
        _event(MADE, MACHINE, *(Wait(step=name) for name in last), beyond),
        _event(OPENED, SETTING, Wait(step=MADE, delay_s=line.move_s)),
        _event(SET, SETTING, *(Wait(step=name) for name in done)),
    )


def _flask_front(line: Line, steps: Activities) -> Activities:
    """Drags stand open in a row of finite places, those being set with them; a closer takes them in order."""
    last, done = _machine(steps)[-1:], _setting(steps)
    return (
        *_arriving(steps),
        _event(OPENED, MACHINE, *(Wait(step=name) for name in last), Wait(step=CLOSING, cycles_back=line.open_drags)),
        _event(CLOSING, CLOSER, *(Wait(step=name) for name in done), Wait(step=OPENED)),
        _lasts(CLOSE, CLOSER, line.closing_s),
    )


_FRONTS: dict[str, Callable[[Line, Activities], Activities]] = {
    INDEXING: _indexed_front,
    TURNTABLE: _turned_front,
    STATION: _station_front,
    FLASKS: _flask_front,
}


def _indexed_whole(line: Line, front: Activities, cool_s: float) -> Activities:
    """Everything on one index: pouring begins after it and ends before the one that takes the mold out of its zone."""
    held = (
        Wait(step=POUR, cycles_back=line.pouring_places),
        Wait(step=POUR, cycles_back=line.cooling_places, delay_s=cool_s),
        Wait(step=WEIGHTS, cycles_back=1),
        Wait(step=SHAKE, cycles_back=1),
    )
    return (
        *_with(front, INDEX, *held),
        _lasts(WEIGHTS, WEIGHTS, line.weights_s, Wait(step=INDEX)),
        _lasts(POUR, POURER, line.pouring_s, Wait(step=INDEX)),
        _lasts(SHAKE, SHAKE_OUT, line.shakeout_s, Wait(step=INDEX)),
    )


def _row_whole(line: Line, front: Activities, cool_s: float) -> Activities:
    """A row of finite places before pouring, and one of cooling places before shake-out; flasks come back from it."""
    gone = DONE if line.kind == FLASKS else SET
    room = Wait(step=POURING_STARTS, cycles_back=line.mold_positions)
    steps = (*front, _event(DONE, CLOSER, room)) if gone == DONE else _with(front, SET, room)
    if line.kind == FLASKS and line.flasks and (own := _machine(front)):
        back = Wait(step=SHAKE, cycles_back=line.flasks, delay_s=line.flask_return_s)
        steps = _with(steps, own[0], back)
    return (
        *steps,
        _event(POURING_STARTS, POURER, Wait(step=gone)),
        _lasts(POUR, POURER, line.pouring_s),
        _event(POURED, POURER, Wait(step=SHAKES, cycles_back=line.cooling_places)),
        _event(SHAKES, SHAKE_OUT, Wait(step=POURED), Wait(step=POUR, delay_s=cool_s)),
        _lasts(SHAKE, SHAKE_OUT, line.shakeout_s),
    )
