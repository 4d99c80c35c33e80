"""What must hold between studies of delays and the allowance lines that cite them. In: records. Out: faults."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from coreset.case.study import DELAY_CAUSES, WatchedShift
from coreset.store.folder.check import unique
from coreset.store.folder.faults import Faults, known_name, shown
from coreset.store.folder.tables import Row

CLOSES = 0.005
"""Share of the time watched that its kinds may be off by: the rounding of minutes, own choice."""
DAY_MIN = 1_440.0


def _counts(one: WatchedShift) -> tuple[float, ...]:
    return (one.effective, one.contingency, one.delay, one.personal, one.avoidable, one.foreign, one.not_seen)


def delays(rows: Sequence[Row], sets: Iterable[tuple[Row, Sequence[Row]]], faults: Faults) -> None:
    """Kinds add up to what was watched, once a shift, in minutes or looks; a line cites a study that there is.

    Parameters
    ----------
    rows : sequence of Row
        Watched shifts.
    sets : iterable of (Row, sequence of Row)
        Allowance sets with their lines.
    faults : Faults
        Takes the faults.
    """
    unique(rows, ("study", "shift"), faults)
    worked = {row.value.study for row in rows if row.value is not None and row.value.effective > 0}
    units: dict[str, str] = {}
    for row in rows:
        one = row.value
        if one is None:
            continue
        _watched(row, one, faults)
        if one.study not in units and one.study not in worked:
            expected = f"some work in one of the shifts of {one.study}, of which the delays are a share"
            faults.add(row.spot.fault(found="0", expected=expected, column="effective"))
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


def _watched(row: Row, one: WatchedShift, faults: Faults) -> None:
    """One shift: its kinds add up, no more than a day, looks whole."""
    if one.watched and abs(one.total - one.watched) > CLOSES * one.watched:
        expected = f"the sum of the kinds, {one.total:g}, or a kind more"
        faults.add(row.spot.fault(found=f"{one.watched:g}", expected=expected, column="watched"))
    if one.counted == "looks" and any(value % 1 for value in _counts(one)):
        faults.add(row.spot.fault(found="a part of a look", expected="whole looks", column="counted"))
    if one.counted == "minutes" and one.total > DAY_MIN:
        expected = f"at most the {DAY_MIN:g} min of a day; is it seconds?"
        faults.add(row.spot.fault(found=f"{one.total:g}", expected=expected, column="effective"))
