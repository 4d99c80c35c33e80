"""What may be said of a task: its band, never better than its job, its carry or unmet conditions allow."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from coreset.lifting.bands import band_of, bands
from coreset.lifting.en_iso import team_factors
from coreset.rounding import fixed
from coreset.text import say

INDEX_DIGITS = 2
MASS_DIGITS = 1


def why_not(codes: Iterable[str]) -> str:
    """Reasons in words, joined; empty where there is none.

    Examples
    --------
    >>> why_not(["one_handed", "seated"])
    'it is lifted with one hand; it is done seated or kneeling'
    """
    return "; ".join(say(f"handling.why_not.{code}") for code in codes)


def index_text(index: float | None, at_least: Iterable[str] = ()) -> str:
    """An index as text, marked where it is a lower limit; a dash where there is none.

    Examples
    --------
    >>> index_text(1.005), index_text(None), index_text(0.79, ("hot",))
    ('1.01', '–', '≥ 0.79')
    """
    if index is None or index == float("inf"):
        return "–"
    text = fixed(index, INDEX_DIGITS)
    return say("handling.row.at_least", text=text) if tuple(at_least) else text


def band_text(index: float | None, scheme: str = "1994", at_least: Iterable[str] = ()) -> str:
    """The band of an index: its place from the best, the words, the scheme; empty where there is no index.

    An index that is a lower limit proves no band that is the best one.

    Parameters
    ----------
    index : float or None
        LI, CLI, VLI or SLI. [-]
    scheme : str
        Scheme of bands.
    at_least : iterable of str
        Codes of what the index leaves out.
    """
    if index is None or index != index:
        return ""
    band, codes = band_of(index, scheme), tuple(at_least)
    if codes and band.place == 0:
        return say("handling.band.unproven", why=why_not(codes))
    status = say(f"handling.band.{band.status}") if band.status == "memory" else ""
    text = say("handling.band.row", place=band.place + 1, of=band.of, words=band.words, status=status).strip()
    return say("handling.band.at_least", band=text, why=why_not(codes)) if codes else text


def scheme_text(scheme: str) -> str:
    """What a scheme of bands is called, and its status."""
    return say(f"handling.band.scheme_{scheme}")


def schemes() -> tuple[str, ...]:
    """Schemes of bands, the published default first."""
    return tuple(dict.fromkeys(band.scheme for name in ("1994", "2021") for band in bands(name)))


def row_index_text(row: Any) -> str:
    """Index of a screened task as text, with that of its largest piece, or of its team; a dash where there is none."""
    if row.team is None or row.li is not None:
        usual = index_text(row.li, row.at_least)
        most = row.li_largest is not None and row.li_largest > row.li
        return say("handling.row.largest", usual=usual, largest=index_text(row.li_largest)) if most else usual
    if row.team.rwl == 0:
        return say("handling.job.zero")
    return say("handling.row.team", index=index_text(row.team.index, ("two_persons",)), persons=row.team.persons)


def load_text(row: Any) -> str:
    """Load of a screened task, the largest piece beside the usual one where they differ."""
    usual = fixed(row.mass, MASS_DIGITS)
    if not row.li or row.li_largest is None or row.li_largest <= row.li:
        return usual
    largest = fixed(row.mass * row.li_largest / row.li, MASS_DIGITS)
    return say("handling.row.largest", usual=usual, largest=largest)


def team_text(team: Any) -> str:
    """What the index of a team rests on and leaves out; empty without a team."""
    if team is None:
        return ""
    many = say("handling.team.many", counted=max(team_factors())) if team.persons > max(team_factors()) else ""
    return " ".join(filter(None, [say("handling.team.cautions"), many]))


def job_text(job: Any) -> str:
    """Index of the job that a task is part of, or that its RWL is 0; a dash for a task that is the whole job.

    Examples
    --------
    >>> job_text(None)
    '–'
    """
    if job is None:
        return "–"
    if job.index is None:
        return say("handling.job.zero")
    return say("handling.job.index", kind=job.kind, index=index_text(job.index, job.at_least))


def carry_text(carrying: Any) -> str:
    """What the carry on top of a lift comes to against its limits, the mass first; empty where nothing is carried."""
    if carrying is None:
        return ""
    key = "at_least" if carrying.at_least else "share"
    what = say(f"handling.carry.{carrying.binding}")
    said = [say(f"handling.carry.{key}", share=fixed(100 * carrying.share), what=what)]
    if carrying.beyond_mass:
        mass, limit = (fixed(values["mass"], MASS_DIGITS) for values in (carrying.carried, carrying.limits))
        said.insert(0, say("handling.carry.beyond_mass", mass=mass, limit=limit))
    return " ".join(said)


def status_text(row: Any, scheme: str = "1994") -> str:
    """What a screened task comes to, in the words of the worst of lift, carry and job; then what else bears on it."""
    job, carry = row.job, carry_text(row.carrying)
    if row.li is None:
        said = say(f"handling.row.{'zero' if row.applies else 'silent'}", why=why_not(row.why_not))
        return ". ".join(filter(None, [said, team_text(row.team), carry]))
    if job is not None and job.index is None:
        return ". ".join(filter(None, [say("handling.row.job_zero", count=job.tasks), carry]))
    worse = job is not None and job.index > row.li
    index = job.index if worse else row.li
    codes = dict.fromkeys((*row.at_least, *(job.at_least if job else ())))
    if row.carrying is not None and row.carrying.share > max(index, 1.0):
        return carry
    parts = [band_text(index, scheme, codes)]
    if worse:
        parts.append(say("handling.row.by_job", count=job.tasks, index=job_text(job)))
    return ". ".join(filter(None, [", ".join(parts), carry]))


def part_sentence(row: Any) -> str:
    """What a task's own index leaves out: the conditions not met and the job it is part of; empty where nothing."""
    said, job = [], row.job
    if row.at_least:
        said.append(say("handling.part.at_least", why=why_not(row.at_least)))
    if job is not None and job.index is None:
        said.append(say("handling.part.job_zero", count=job.tasks))
    elif job is not None:
        said.append(say("handling.part.job", count=job.tasks, index=job_text(job)))
        if rest := [code for code in job.at_least if code not in row.at_least]:
            said.append(say("handling.part.job_at_least", why=why_not(rest)))
    return " ".join(said)


def worst_index(screened: Iterable[Any], of: str = "method") -> dict[Any, tuple[float, bool]]:
    """Highest index of a task or of its job, and whether it is a lower limit, by method or by what else `of` names."""
    worst: dict[Any, tuple[float, bool]] = {}
    for row in screened:
        found = [(row.li, bool(row.at_least))]
        found += [(row.job.index, bool(row.job.at_least))] if row.job is not None else []
        for index, at_least in found:
            if index is not None and index > worst.get(getattr(row, of), (-1.0, False))[0]:
                worst[getattr(row, of)] = index, at_least
    return worst


def index_in_words(index: float, at_least: bool) -> str:
    """An index within a sentence.

    Examples
    --------
    >>> index_in_words(1.61, False), index_in_words(1.61, True)
    ('1.61', 'at least 1.61')
    """
    text = fixed(index, INDEX_DIGITS)
    return say("handling.row.at_least_words", text=text) if at_least else text
