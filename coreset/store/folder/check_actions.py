"""What must hold between the actions and the rest of a case. In: records with their spots. Out: faults."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from coreset.case.action import DONE
from coreset.store.folder.check import DAY, name_fault, pictures, unique
from coreset.store.folder.faults import Faults, shown
from coreset.store.folder.tables import Row

DAYS = ("due", "measured", "assessed", "reassess_by")


def actions(rows: Sequence[Row], known: Mapping[str, Any], faults: Faults) -> None:
    """Actions are named once, are about a job that there is, on days; what is done was measured again, or says why not.

    A task that an action names may be gone since: the change may have removed it.

    Parameters
    ----------
    rows : sequence of Row
        Actions.
    known : mapping
        Names of patterns and of methods.
    faults : Faults
        Takes the faults.
    """
    unique(rows, ["action"], faults)
    pictures(rows, faults)
    for row in rows:
        name_fault(row, "pattern", known["patterns"], faults)
        name_fault(row, "method", known["methods"], faults)
        for field in DAYS:
            if not DAY.fullmatch(day := row.word(field) or ""):
                faults.add(row.spot.fault(found=shown(day), expected="a day as 2026-03-31", column=field))
        found = row.value
        if found is None or found.state != DONE:
            continue
        if found.index_after is None and not found.note.strip():
            expected = "the index measured again, or a note why there is none"
            faults.add(row.spot.fault(found="nothing", expected=expected, column="index_after"))
        if not found.measured:
            faults.add(row.spot.fault(found="nothing", expected="the day it was measured again", column="measured"))
