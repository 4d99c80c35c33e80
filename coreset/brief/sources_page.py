"""What the page of sources says of a case: first whether its figures were read in print, then figure by figure."""

from __future__ import annotations

from collections.abc import Sequence

from coreset.brief.sources_used import SourceUsed, Use
from coreset.report.numbers import listed
from coreset.sources import RULE_STATUSES, STATUSES, rule, weakest
from coreset.text import say

WEAKEST, OURS = STATUSES[-1], RULE_STATUSES[-1]
NOT_READ = (WEAKEST, "computed", OURS)
"""Statuses that no print stands behind, the weakest first."""


def answer(found: Sequence[SourceUsed]) -> str:
    """Whether all figures of a case rest on what was read in print.

    Parameters
    ----------
    found : sequence of SourceUsed
        From `sources_used`.
    """
    if not found:
        return say("front.sources.nothing")
    return say("front.sources.all_but" if exceptions(found) else "front.sources.all_read")


def exceptions(found: Sequence[SourceUsed]) -> list[str]:
    """A sentence for each status that no print stands behind: which figures, and of which publication.

    An idea of our own where a publication is silent counts too, however well the rest of that use was read.
    """
    weak: dict[str, dict[str, list[str]]] = {status: {} for status in NOT_READ}
    for one, use in _uses(found):
        own = {read for name, read in one.rules if name in use.rules and read == OURS}
        for status in {use.status, *own} & weak.keys():
            weak[status].setdefault(use.what, []).append(short(one))
    return [
        say("front.sources.except", status=say(f"front.status.{status}"), parts=listed(_weak(of)))
        for status, of in weak.items()
        if of
    ]


def _weak(of: dict[str, list[str]]) -> list[str]:
    return [say("front.sources.weak", what=what, of=", ".join(names)) for what, names in of.items()]


def in_brief(found: Sequence[SourceUsed]) -> str:
    """The same in one sentence: every figure with the weakest status of what it rests on, best first."""
    by_what: dict[str, list[str]] = {}
    for _, use in _uses(found):
        by_what.setdefault(use.what, []).append(use.status)
    if not by_what:
        return say("front.sources.nothing")
    read = {what: weakest(statuses) for what, statuses in by_what.items()}
    parts = [
        say("front.sources.weak", what=listed(own), of=say(f"front.status.{status}"))
        for status in STATUSES
        if (own := [what for what in read if read[what] == status])
    ]
    return say("front.sources.brief", parts="; ".join(parts))


def by_figure(found: Sequence[SourceUsed]) -> dict[str, list[dict[str, str]]]:
    """One row a publication under each figure: where in it, and how that was read."""
    names = [word.strip() for word in say("front.sources.figure_heads").split("|")]
    grouped: dict[str, list[dict[str, str]]] = {}
    for one, use in _uses(found):
        row = (short(one), ", ".join(use.places), say(f"front.status.{use.status}"))
        grouped.setdefault(use.what, []).append(dict(zip(names, row, strict=True)))
    return grouped


def weak_rules(found: Sequence[SourceUsed], what: str) -> list[str]:
    """A sentence for each rule behind one figure that was not read in print, with its publication.

    Beside the rows of `by_figure` it would be a column too many for a phone, and empty in most of them.
    """
    return [
        say("front.sources.weak_rule", of=short(one), rule=rule(one.key, name).rule, status=say(f"front.status.{read}"))
        for one, use in _uses(found)
        if use.what == what
        for name, read in one.rules
        if read in (WEAKEST, OURS) and name in use.rules
    ]


def short(one: SourceUsed) -> str:
    """A publication by its first author and year, by its title where no person is named.

    Examples
    --------
    >>> short(SourceUsed(key="a", title="T", authors="Waters TR, Lu ML", year="2007", used=(), status="", rules=()))
    'Waters TR (2007)'
    """
    name = one.authors.split(",")[0] or one.title
    return say("front.sources.short", name=name, year=one.year) if one.year.isdigit() else name


def _uses(found: Sequence[SourceUsed]) -> list[tuple[SourceUsed, Use]]:
    return [(one, use) for one in found for use in one.used]
