"""What must hold between studies of delays and the allowance lines that cite them. In: records. Out: faults."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from coreset.case.study import DELAY_CAUSES
from coreset.store.folder.faults import Faults, known_name, shown
from coreset.store.folder.tables import Row

CLOSES = 0.005
"""Share of the time watched that its kinds may be off by: the rounding of minutes, own choice."""


def delays(rows: Sequence[Row], sets: Iterable[tuple[Row, Sequence[Row]]], faults: Faults) -> None:
    """Kinds add up to what was watched; a study is in minutes or in looks; a line cites a study that there is."""
    units: dict[str, str] = {}
    for row in rows:
        one = row.value
        if one is None:
            continue
        if one.watched and abs(one.total - one.watched) > CLOSES * one.watched:
            expected = f"the sum of the kinds, {one.total:g}, or a kind more"
            faults.add(row.spot.fault(found=f"{one.watched:g}", expected=expected, column="watched"))
        if units.setdefault(one.study, one.counted) != one.counted:
            expected = f"{units[one.study]} as in the other shifts of {one.study}"
            faults.add(row.spot.fault(found=one.counted, expected=expected, column="counted"))
    for _, lines in sets:
        for row in lines:
            line = row.value
            if line is None or not line.study:
                continue
            if line.study not in units:
                expected = known_name(line.study, list(units))
                faults.add(row.spot.fault(found=shown(line.study), expected=expected, column="study"))
            if line.cause not in DELAY_CAUSES or line.percent is not None:
                expected = f"a cause of {' or '.join(DELAY_CAUSES)} without a percent: the study gives it"
                faults.add(row.spot.fault(found=shown(line.cause), expected=expected, column="cause"))
