"""What must hold between an overall uptime and a list of stops. In: records with their spots. Out: faults."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence

from coreset.case.stops import conflict
from coreset.store.folder.faults import Faults
from coreset.store.folder.tables import Row


def stops(head: Row, line: Row, parts: Sequence[Row], faults: Faults) -> None:
    """Entries about stops that do not go together, in the words of the calculation.

    Parameters
    ----------
    head : Row
        The case's own keys, with the form of its files.
    line : Row
        The line.
    parts : sequence of Row
        Its stops.
    faults : Faults
        Takes the fault.
    """
    if line.value is None:
        return
    listed = tuple(row.value for row in parts if row.value is not None)
    wrong = conflict(dataclasses.replace(line.value, stops=listed), head.fields.get("form", 1))
    if wrong is not None:
        faults.add(line.spot.fault(found=wrong.found, expected=wrong.expected, column=wrong.column))
