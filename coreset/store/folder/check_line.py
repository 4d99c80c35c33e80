"""What must hold between a line's kind, its facts and the stations of its stops. In: records. Out: faults."""

from __future__ import annotations

from collections.abc import Sequence

from coreset.case.kinds import out_of_place, stations
from coreset.store.folder.faults import Faults
from coreset.store.folder.tables import Row


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
