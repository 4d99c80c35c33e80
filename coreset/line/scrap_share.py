"""Share of castings scrapped, from the plant's own counts. In: case, pattern, method. Out: share, or none entered."""

from __future__ import annotations

from collections import defaultdict

from coreset.case import Case


def scrap_share(case: Case, pattern: str, method: str) -> float | None:
    """Share of a pattern's castings scrapped for any cause, added up over the causes counted. [-]

    A method without counts of its own is taken to scrap as the current one does, for nothing is saved that was not
    counted; None where the pattern has no counts at all.

    Parameters
    ----------
    case : Case
        Counts of castings poured and scrapped, by cause.
    pattern, method : str
        The pair.
    """
    for name in (method, case.baseline):
        poured: dict[str, int] = defaultdict(int)
        scrapped: dict[str, int] = defaultdict(int)
        for row in case.scrap:
            if (row.pattern, row.method) == (pattern, name):
                poured[row.cause] += row.castings_poured
                scrapped[row.cause] += row.castings_scrapped
        if poured:
            return min(1.0, sum(scrapped[cause] / poured[cause] for cause in poured))
    return None
