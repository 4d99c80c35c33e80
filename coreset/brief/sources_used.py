"""The one list of publications that an assessment rests on: what each was used for, and how well that was read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any

from coreset.brief.workings import by_subject
from coreset.case import Case, Range
from coreset.case.fields import meaning
from coreset.report.run_working import seeded
from coreset.sources import STATUSES, rule, sources, table, tables, weakest
from coreset.text import message, say
from coreset.working import Working


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """What a publication was used for, the places in it, the weakest status of the rows and rules there, the rules."""

    what: str
    places: tuple[str, ...]
    status: str
    rules: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceUsed:
    """One publication behind the figures of a case.

    `status` is the weakest of what was used of it, not of the whole publication; `rules` are ids of its ledger with
    the status of each.
    """

    key: str
    title: str
    authors: str
    year: str
    used: tuple[Use, ...]
    status: str
    rules: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cited:
    key: str
    what: str
    place: str
    status: str
    rules: tuple[str, ...] = ()


def sources_used(assessment: Any) -> tuple[SourceUsed, ...]:
    """Publications that lines of working cite or that inputs were taken from, in the order of the work.

    Parameters
    ----------
    assessment : Assessment
        The whole job.

    Returns
    -------
    tuple of SourceUsed
        One a publication; none that no figure of this case rests on.
    """
    cited = [
        _Cited(key=line.source, what=say(f"brief.used.{subject}"), place=_place(line, assessment.seed),
               status=line.status, rules=line.rules)
        for subject, line in by_subject(assessment)
        if line.source
    ] + list(_entered(assessment.case))  # fmt: skip
    by_key: dict[str, list[_Cited]] = {}
    for one in cited:
        by_key.setdefault(one.key, []).append(one)
    return tuple(_gathered(key, own) for key, own in by_key.items())


def _place(line: Working, seed: int) -> str:
    """Place in the publication; a drawn figure says there with what it was drawn."""
    return "" if line.where == seeded(seed) else line.where


def _entered(case: Case) -> Iterator[_Cited]:
    """Publications that the sources of entered ranges name by their keys, with the weakest status of their tables."""
    known = sources()
    holders: tuple[Any, ...] = (case.money, *case.patterns)
    for holder in holders:
        for field in fields(holder):
            value = getattr(holder, field.name)
            words = value.source.replace(";", " ").replace(",", " ").split() if isinstance(value, Range) else ()
            for key in dict.fromkeys(word for word in words if word in known):
                read = weakest(table(path).status for path in tables() if path.startswith(f"{key}/"))
                yield _Cited(
                    key=key, what=say("brief.used.input"), place=message(meaning(type(holder), field.name)), status=read
                )


def _gathered(key: str, own: list[_Cited]) -> SourceUsed:
    known = sources()[key]
    by_what: dict[str, list[_Cited]] = {}
    for one in own:
        by_what.setdefault(one.what, []).append(one)
    uses = tuple(_use(key, what, ones) for what, ones in by_what.items())
    return SourceUsed(
        key=key,
        title=known.title,
        authors=known.authors,
        year=known.year,
        used=uses,
        status=weakest(use.status for use in uses),
        rules=tuple((name, rule(key, name).status) for name in _rules(own)),
    )


def _use(key: str, what: str, own: list[_Cited]) -> Use:
    """One use; what was cited without a row or rule that was read is from memory."""
    status = weakest([*(one.status for one in own), *(rule(key, name).status for name in _rules(own))])
    places = tuple(dict.fromkeys(one.place for one in own if one.place))
    return Use(what=what, places=places, status=status or STATUSES[-1], rules=_rules(own))


def _rules(own: list[_Cited]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for one in own for name in one.rules))
