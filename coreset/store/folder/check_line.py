"""What must hold within a line (kind, facts, stops, steps) and a setter's supply. In: records. Out: faults."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from coreset.case.kinds import FLASKS, INDEX, MACHINE, STATION, TURNTABLE, out_of_place, stations
from coreset.store.folder.faults import Faults
from coreset.store.folder.tables import Row
from coreset.units import AMBIENT_KPA


def curve(setter: Row, faults: Faults) -> None:
    """Points of a supply curve come in pairs, from no vacuum up, and give less air at more of it."""
    found = setter.value
    if found is None or not (found.curve_kpa or found.curve_l_min):
        return
    kpa, flow = found.curve_kpa, found.curve_l_min
    if len(kpa) < 2 or len(kpa) != len(flow):
        expected = "two points or more, as many of each"
        faults.add(setter.spot.fault(found=f"{len(kpa)} and {len(flow)}", expected=expected, column="curve_kpa"))
    elif kpa[0] != 0 or any(b <= a for a, b in pairwise(kpa)):
        faults.add(setter.spot.fault(found=f"{list(kpa)}", expected="0 first, then rising", column="curve_kpa"))
    elif kpa[-1] > AMBIENT_KPA:
        expected = f"at most {AMBIENT_KPA}, the pressure of the air; is it mbar?"
        faults.add(setter.spot.fault(found=f"{kpa[-1]:g}", expected=expected, column="curve_kpa"))
    elif any(b > a for a, b in pairwise(flow)) or flow[-1] < 0 or flow[0] <= 0:
        expected = "more than 0 first, then falling or alike, never below 0"
        faults.add(setter.spot.fault(found=f"{list(flow)}", expected=expected, column="curve_l_min"))


def kind(line: Row, parts: Sequence[Row], faults: Faults) -> None:
    """A line states only what its kind has, and stops only of stations that it has.

    Parameters
    ----------
    line : Row
        The line.
    parts : sequence of Row
        Its stops.
    faults : Faults
        Takes the faults.
    """
    found = line.value
    if found is None:
        return
    for name, value, kinds in out_of_place(found):
        expected = f"no {name} on a line of the kind {found.kind!r}; it belongs to: {', '.join(kinds)}"
        faults.add(line.spot.fault(found=f"{value}", expected=expected, column=name))
    for row in parts:
        if row.value is not None and row.value.station not in stations(found.kind):
            expected = f"a station of the kind {found.kind!r}: {', '.join(stations(found.kind))}"
            faults.add(row.spot.fault(found=row.value.station, expected=expected, column="station"))


def steps(line_kind: str, method: Row, parts: Sequence[Row], faults: Faults) -> None:
    """A method waits as its kind of line lets it: cores are set off the machine, on a mold that has come from it.

    On a turntable that is the mold made before; at a station apart, or in a row of open drags, the machine has let go.

    Parameters
    ----------
    line_kind : str
        Kind of the line.
    method : Row
        The method, where a fault of all its steps stands.
    parts : sequence of Row
        Its steps; not looked at while one of them has faults of its own.
    faults : Faults
        Takes the faults.
    """
    listed = [row.value for row in parts if row.value is not None]
    machine = {step.name for step in listed if step.by == MACHINE}
    if line_kind not in (TURNTABLE, STATION, FLASKS) or not machine or len(listed) < len(parts):
        return
    for row, step in zip(parts, listed, strict=True):
        wrong = sorted(name for name in step.after if step.by == MACHINE and name not in machine and name != INDEX)
        if line_kind == TURNTABLE and step.by != MACHINE:
            wrong = sorted(machine & set(step.after))
        if wrong:
            expected = f"what a {line_kind} lets it wait for: {_own(line_kind, step.by == MACHINE)}"
            faults.add(row.spot.fault(found=", ".join(wrong), expected=expected, column="after"))
    first = {INDEX} if line_kind == TURNTABLE else machine
    others = [step for step in listed if step.by != MACHINE]
    if others and not any(first & set(step.after) for step in others):
        expected = f"a step of core setting that waits for the mold: after = {sorted(first)}"
        faults.add(method.spot.fault(found="none that does", expected=expected, column="step"))


def _own(line_kind: str, of_machine: bool) -> str:
    """What a step may wait for in its cycle."""
    if of_machine:
        return "other steps of the machine; core setting comes after it, elsewhere"
    return f"{INDEX!r}, for the mold it works on was made in the cycle before"
