"""Presses that do not fit their study: set apart so that they block nothing, and what somebody decided about each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection, select

from coreset.case import Correction
from coreset.errors import BookError
from coreset.store.book.presses import BREAKPOINTS, Press
from coreset.store.book.schema import CORRECTION

ASSIGN, EXCLUDE, TAKE_IN = DECISIONS = ("assign", "set_apart", "take_in")
"""What may be decided: the press ended this element; it is no part of the job; a session that came after the signature
is taken into the new version. Rows of corrections, whose value is the device, a space, and the element."""
NAMELESS = "no name"
UNKNOWN, UNNAMED, STOPPED, BACKWARD = (
    "no element of the study has this name",
    "no name was sent",
    "pressed after the clock was stopped",
    "earlier on the clock than the press before it",
)

Decided = Mapping[tuple[str, int], Correction]
"""Last decision by device and seq."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """A press that does not fit its study.

    `element` is the name as it was pressed, `clock_s` the clock [s]; `decision` is empty while nobody has decided.
    `late` is the number of presses that came after the signature or the removal of `study`, of which this is the last;
    0 for any other press.
    """

    device: str
    seq: int
    cycle: int
    element: str
    clock_s: float
    reason: str
    decision: Correction | None = None
    late: int = 0
    study: str = ""


def fitted(
    presses: Sequence[Press], elements: Collection[str], decided: Decided, *, device: str
) -> tuple[list[Press], list[Apart]]:
    """Presses of one session that can be read, and those set apart.

    Time stays where it was: a press under an unknown name ends foreign time of that name, with a note that says so; one
    whose time cannot be is left out. An assigned press ends its element, without a time if that cannot be.

    Parameters
    ----------
    presses : sequence of Press
        In any order, with the names that elements have now.
    elements : collection of str
        Names of the study's elements.
    """
    ordered = sorted(presses, key=lambda press: press.seq)
    struck = {p.target for p in ordered if p.kind == "strike"}
    reasons = _out_of_time([p for p in ordered if p.seq not in struck])
    fit: list[Press] = []
    apart: list[Apart] = []
    after: Press | None = None
    for press in reversed(ordered):
        if press.kind not in BREAKPOINTS or press.seq in struck:
            fit.append(press)
            continue
        reason = reasons.get(press.seq) or _misnamed(press, elements, after)
        decision = decided.get((device, press.seq)) if reason else None
        if reason:
            apart.append(_apart(press, reason, decision, device))
        read = _read(press, reason, decision, after)
        if press.kind in ("end", "missed") and read is not None:
            after = read
        if read is not None:
            fit.append(read)
    return fit[::-1], apart[::-1]


def _apart(press: Press, reason: str, decision: Correction | None, device: str) -> Apart:
    own = {name: getattr(press, name) for name in ("seq", "cycle", "element", "clock_s")}
    return Apart(device=device, reason=reason, decision=decision, **own)


def _out_of_time(held: Sequence[Press]) -> dict[int, str]:
    """Breakpoints after the stop, or earlier than one before them, by seq."""
    found: dict[int, str] = {}
    last = next((p.clock_s for p in held if p.kind == "first"), 0.0)
    stopped = False
    for press in held:
        stopped = stopped or press.kind == "stop"
        if press.kind not in BREAKPOINTS:
            continue
        if stopped or press.clock_s < last:
            found[press.seq] = STOPPED if stopped else BACKWARD
        else:
            last = press.clock_s
    return found


def _misnamed(press: Press, elements: Collection[str], after: Press | None) -> str:
    """Why the name of a breakpoint does not fit; empty if it does, or if it is told by the press that ends it."""
    if press.kind == "foreign" or press.element in elements or (press.kind == "split" and after is not None):
        return ""
    return UNKNOWN if press.element.strip() else UNNAMED


def _read(press: Press, reason: str, decision: Correction | None, after: Press | None) -> Press | None:
    """How a breakpoint is read; None if it is left out. `after` is what ends the element that follows, as read."""
    if press.kind == "split" and not reason and after is not None and after.kind == "foreign":
        return replace(press, kind="foreign", element=after.element, note=after.note)
    if not reason:
        return press
    timeless = reason in (STOPPED, BACKWARD)
    if decision is not None and decision.action == ASSIGN and press.kind != "foreign":
        element = decision.value.partition(" ")[2]
        kind = "missed" if timeless else press.kind
        return replace(press, kind=kind, element=element, note=_note(press, decision))
    if timeless:
        return None
    if press.kind == "missed":  # the time up to the next breakpoint is not known
        if after is None or after.kind == "foreign":
            return None
        return replace(press, element=after.element, note=_note(press, decision))
    return replace(press, kind="foreign", element=press.element.strip() or NAMELESS, note=_note(press, decision))


def _note(press: Press, decision: Correction | None) -> str:
    name = press.element.strip() or NAMELESS
    if decision is None:
        done = f"set apart: pressed as {name}"
    else:
        verb = "assigned" if decision.action == ASSIGN else "excluded"
        done = f"{verb} by {decision.who}: pressed as {name}; {decision.why}"
    return "; ".join(filter(None, (press.note, done)))


def left_out(apart: Sequence[Apart]) -> tuple[str, ...]:
    """Presses whose time cannot be, in words, since no reading stands for them."""
    return tuple(
        f"press {one.seq} ({one.element.strip() or NAMELESS}, {one.clock_s:.3f} s) was set apart: {one.reason}"
        for one in apart
        if one.reason in (STOPPED, BACKWARD) and (one.decision is None or one.decision.action == EXCLUDE)
    )


def decisions(connection: Connection, case_id: str) -> dict[str, Decided]:
    """The last decision about each press of a case, by study."""
    of_case = select(CORRECTION).where(CORRECTION.c.case_id == case_id, CORRECTION.c.action.in_(DECISIONS))
    found: defaultdict[str, dict[tuple[str, int], Correction]] = defaultdict(dict)
    for r in connection.execute(of_case.order_by(CORRECTION.c.id)):
        made = Correction(seq=r.seq, action=r.action, value=r.value, who=r.who, when=r.at, why=r.why)
        found[r.study][r.value.partition(" ")[0], r.seq] = made
    return {**found}


def refuse_decision(one: Apart | None, action: str, element: str, elements: Collection[str]) -> None:
    """Nothing, if a press can be decided upon so.

    Parameters
    ----------
    one : Apart or None
        The press, or the late session at its last press; None if nothing of the kind is set apart.
    action : str
        `ASSIGN`, `EXCLUDE` or `TAKE_IN`.
    element : str
        Element that it is assigned to.
    elements : collection of str
        Names of the study's elements.

    Raises
    ------
    BookError
        If no such press is set apart, or what is decided is neither to exclude it nor an element of the study.
    """
    if one is None:
        raise BookError("a decision must concern a press that is set apart, got none: somebody may have settled it")
    if one.late and action not in (TAKE_IN, EXCLUDE):
        raise BookError("readings that came after the signature must be taken in or excluded, all of a session at once")
    if not one.late and (action not in (ASSIGN, EXCLUDE) or (action == ASSIGN and element not in elements)):
        raise BookError(f"a press must be excluded or assigned to one of {', '.join(elements)}, got {element!r}")
