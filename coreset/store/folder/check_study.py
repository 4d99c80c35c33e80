"""What must hold within a study: its header, elements, readings, corrections. In: records with spots. Out: faults."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from coreset.number_text import number
from coreset.store.folder.check import DAY, name_fault, pictures, unique
from coreset.store.folder.faults import Faults, FaultSpot, known_name, one_of, shown
from coreset.store.folder.tables import Row

CLOCK = re.compile(r"(\d{1,2}:[0-5]\d:[0-5]\d(\.\d+)?)?")


def study(row: Row, parts: Sequence[Row], known: Mapping[str, Any], faults: Faults) -> None:
    """A study names an allowance set that there is, and times its day as the files do.

    Its pattern may have no volume yet and its method no steps: a standard needs neither, and `unlisted` tells of them.

    Parameters
    ----------
    row : Row
        Header of the study.
    parts : sequence of Row
        Its elements.
    known : mapping
        Names of allowance sets, of studies, and of cores by pattern.
    faults : Faults
        Takes the faults.
    """
    name_fault(row, "allowances", known["allowances"], faults)
    name_fault(row, "superseded_by", known["studies"], faults)
    unique(parts, ["name"], faults)
    for part in parts:
        name_fault(part, "core", known["cores"].get(row.word("pattern"), []), faults)
    for field, pattern, words in (
        ("date", DAY, "a day as 2026-03-31"),
        ("effective", DAY, "a day as 2026-03-31"),
        ("clock_in", CLOCK, "a time as 7:05:00"),
        ("clock_out", CLOCK, "a time as 7:05:00"),
    ):
        value = row.word(field) or ""
        if not pattern.fullmatch(value):
            faults.add(row.spot.fault(found=shown(value), expected=words, column=field))
    pictures(parts, faults)
    if not parts and "elements" not in row.fields:
        faults.add(row.spot.fault(found="nothing", expected="the elements of the study, [[element]]", column="element"))


def readings(value: Any, rows: Sequence[int], file: str, elements: Sequence[str], faults: Faults) -> None:
    """Every reading names an element of the study, and only a missed one is empty.

    Parameters
    ----------
    value : Readings
        Readings in the order taken.
    rows : sequence of int
        Row of each in the file.
    file : str
        The file.
    elements : sequence of str
        Names of the study's elements.
    faults : Faults
        Takes the faults.
    """
    known = set(elements)
    if not (set(value.element) <= known):
        for i, name in enumerate(value.element):
            if name not in known and value.mark[i] != "foreign":
                spot = FaultSpot(file=file, row=rows[i])
                faults.add(spot.fault(found=shown(name), expected=known_name(name, elements), column="element"))
    for i, seconds in enumerate(value.reading_s):
        if seconds != seconds and value.mark[i] != "missed":
            spot = FaultSpot(file=file, row=rows[i])
            faults.add(spot.fault(found="nothing", expected="seconds, or the mark 'missed'", column="reading_s"))
    if len(set(value.seq)) != len(value.seq):
        seen: set[int] = set()
        for i, seq in enumerate(value.seq):
            if seq in seen:
                spot = FaultSpot(file=file, row=rows[i])
                faults.add(spot.fault(found=f"{seq} again", expected="each number once", column="seq"))
            seen.add(seq)


def clock(value: Any, rows: Sequence[int], file: str, excluded: set[int], faults: Faults) -> None:
    """A clock that runs on never runs back; a reading that a correction excludes may be a slip.

    Parameters
    ----------
    value : Readings
        Readings of a clock that runs on. [s]
    rows : sequence of int
        Row of each in the file.
    file : str
        The file.
    excluded : set of int
        `seq` of readings that a correction excludes.
    faults : Faults
        Takes the faults.
    """
    last = -math.inf
    for i, seconds in enumerate(value.reading_s):
        if seconds < last and value.seq[i] not in excluded:
            spot = FaultSpot(file=file, row=rows[i])
            faults.add(
                spot.fault(found=f"{seconds:g}", expected=f"not before {last:g}, the clock runs on", column="reading_s")
            )
        if seconds == seconds and value.seq[i] not in excluded:
            last = seconds


def corrections(rows: Sequence[Row], seqs: Iterable[int], elements: Sequence[str], faults: Faults) -> None:
    """A correction concerns a reading there is, and says what it is changed to.

    Parameters
    ----------
    rows : sequence of Row
        Corrections.
    seqs : iterable of int
        `seq` of the study's readings.
    elements : sequence of str
        Names of the study's elements.
    faults : Faults
        Takes the faults.
    """
    seqs = set(seqs)
    for row in rows:
        change = row.value
        if change is None:
            continue
        if change.seq not in seqs:
            faults.add(row.spot.fault(found=str(change.seq), expected="the seq of a reading", column="seq"))
        if change.action == "relabel" and change.value not in elements:
            faults.add(row.spot.fault(found=shown(change.value), expected=one_of(elements), column="value"))
        if change.action == "rerate" and not _above_zero(change.value):
            faults.add(row.spot.fault(found=shown(change.value), expected="a rating above 0", column="value"))


def _above_zero(text: str) -> bool:
    try:
        return 0 < number(text) < math.inf
    except ValueError:
        return False
