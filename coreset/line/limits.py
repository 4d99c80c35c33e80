"""What each part of the line could do alone, in molds per running hour. In: line, pattern. Out: rates by part."""

from __future__ import annotations

from coreset.case import Case, Pattern

S_PER_H = 3600.0
S_PER_MIN = 60.0
WHERE = ("molding", "pouring", "cooling", "shake-out")


def pouring_s(case: Case, pattern: Pattern) -> float:
    """Time from one poured mold to the next: the pattern's own or the line's, not below the index when pouring at it.

    The table's index bounds the mean rate in either way of pouring; batches only free the pourer's own pace.
    """
    return max(pattern.pouring_s or case.line.pouring_s, case.line.index_s)


def cooling_places(case: Case) -> float:
    """Mold places between pouring and shake-out, outer rows and upper levels with them."""
    return case.line.cooling_places + case.line.outer_row_places


def limits(case: Case, pattern: Pattern) -> dict[str, float]:
    """Molds per running hour that pouring, cooling and shake-out could each do alone; infinite where not stated."""
    need_s = pattern.cooling_min * S_PER_MIN
    return {
        "pouring": S_PER_H / pouring_s(case, pattern),
        "cooling": S_PER_H * cooling_places(case) / need_s if need_s > 0 else float("inf"),
        "shake-out": S_PER_H / case.line.shakeout_s if case.line.shakeout_s > 0 else float("inf"),
    }
