"""What must hold within a line (kind, facts, stations of stops) and a setter's supply. In: records. Out: faults."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from coreset.case.kinds import out_of_place, stations
from coreset.store.folder.faults import Faults
from coreset.store.folder.tables import Row


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
    elif any(b > a for a, b in pairwise(flow)) or flow[-1] < 0 or flow[0] <= 0:
        expected = "more than 0 first, then falling or alike, never below 0"
        faults.add(setter.spot.fault(found=f"{list(flow)}", expected=expected, column="curve_l_min"))


def kind(line: Row, parts: Sequence[Row], faults: Faults) -> None:
    """A line states only what its kind has, and stops only of stations that it has."""
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
