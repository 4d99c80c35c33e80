"""A short name for what a case holds: the same content, the same name."""

from __future__ import annotations

import hashlib
import struct
from array import array
from dataclasses import replace

from coreset.case.case import Case
from coreset.case.study import Readings

DIGEST_BYTES = 16


def digest(case: Case) -> str:
    """Name of a case's content, from its values and not from where or when they were read.

    Parameters
    ----------
    case : Case

    Returns
    -------
    str
        Hexadecimal. Readings are taken as columns, so that a million of them cost a fraction of a second.
    """
    total = hashlib.blake2b(digest_size=DIGEST_BYTES)
    headers = replace(case, studies=tuple(replace(study, readings=Readings()) for study in case.studies))
    total.update(repr(headers).encode())
    for study in case.studies:
        for part in _parts(study.readings):
            total.update(struct.pack("<q", len(part)))
            total.update(part)
    return total.hexdigest()


def _parts(readings: Readings) -> tuple[bytes, ...]:
    """Columns as bytes."""
    times = (array("d", readings.reading_s), array("d", readings.rating))
    others = (readings.seq, readings.cycle, readings.element, readings.mark, readings.note)
    return (*(column.tobytes() for column in times), *(repr(column).encode() for column in others))
