"""Bands of the lifting index: the publication's own limits and words, the scheme always named."""

from __future__ import annotations

from dataclasses import dataclass

from coreset.errors import OutOfRange
from coreset.sources import table

SCHEMES = {"1994": "waters1994/bands", "2021": "fox2019/bands"}
"""Three bands of the 1994 manual, or the five of 2019 to 2021."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """One band of an index: above `above` up to `to`, its place from the best (0), of how many, and the words."""

    scheme: str
    place: int
    of: int
    above: float
    to: float
    words: str
    source: str
    status: str


def bands(scheme: str) -> tuple[Band, ...]:
    """All bands of a scheme, from the best.

    Raises
    ------
    OutOfRange
        If there is no such scheme.

    Examples
    --------
    >>> [band.to for band in bands("2021")]
    [1.0, 1.5, 2.0, 3.0, inf]
    """
    if scheme not in SCHEMES:
        raise OutOfRange(f"scheme of bands must be one of {', '.join(SCHEMES)}, got {scheme!r}")
    printed = table(SCHEMES[scheme])
    return tuple(
        Band(
            scheme=scheme,
            place=place,
            of=len(printed.rows),
            above=float(row["above"] or 0.0),
            to=float(row["to"] or "inf"),
            words=row["band"],
            source=printed.key,
            status=printed.row_status(row),
        )
        for place, row in enumerate(printed.rows)
    )


def band_of(index: float, scheme: str = "1994") -> Band:
    """The band an index falls in; a limit itself belongs to the better band.

    Examples
    --------
    >>> band_of(1.0).words, band_of(3.01).place
    ('1.0 or less: the goal of the manual', 2)
    """
    found = next((band for band in bands(scheme) if index <= band.to), None)
    if found is None or index < 0:
        raise OutOfRange(f"index must be a number from zero, got {index:g}")
    return found
