"""Rows and sentences on the crew: its shift, energy and heat, the methods that fit, the mix of lifts."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from coreset.case import UNIT_SETS
from coreset.lifting.report.pushing import push_text
from coreset.lifting.report.status import carry_text, index_text, part_sentence, team_text, why_not
from coreset.report.numbers import listed
from coreset.rounding import fixed
from coreset.text import say


def crew_rows(shifts: Iterable[Any], units: str) -> list[dict[str, str]]:
    """A mean shift of each method, one person's share."""
    unit = UNIT_SETS[units]["mass"]
    return [
        {
            say("handling.column.method"): s.method,
            say("handling.column.molds"): fixed(s.molds),
            say("handling.column.lifts"): fixed(s.lifts),
            say("handling.column.mass", unit=unit): fixed(s.mass_handled),
            **{say("handling.column.minutes", level=fixed(level, 1)): fixed(m) for level, m in s.above.items()},
            say("handling.column.forbidden"): fixed(s.forbidden_min),
            say("handling.column.no_index"): fixed(s.without_index_min),
        }
        for s in shifts
    ]


def compare_rows(compared: Iterable[Any], units: str) -> list[dict[str, str]]:
    """Each pattern under both methods: index and mass a minute, and who is better off."""
    unit = UNIT_SETS[units]["mass"]
    return [
        {
            say("handling.column.pattern"): c.pattern,
            say("handling.column.index_of", method=c.before.method): exposure_text(c.before),
            say("handling.column.index_of", method=c.after.method): exposure_text(c.after),
            say("handling.column.rate_of", method=c.before.method, unit=unit): _rate(c.before),
            say("handling.column.rate_of", method=c.after.method, unit=unit): _rate(c.after),
            say("handling.column.verdict"): say(f"handling.verdict.{c.verdict}"),
        }
        for c in compared
    ]


def exposure_text(exposure: Any) -> str:
    """Index of a pattern under a method, or that nothing should be lifted, or a dash."""
    return say("handling.verdict.forbidden") if exposure.forbidden else index_text(exposure.index, exposure.at_least)


def _rate(exposure: Any) -> str:
    return fixed(exposure.mass_handled / exposure.minutes, 1) if exposure.minutes and exposure.lifts else "–"


def verdict_sentence(compared: Sequence[Any], baseline: str, candidate: str) -> str:
    """Who gets better and who worse, in a sentence.

    Parameters
    ----------
    compared : sequence of Compared
        Verdict of each pattern.
    baseline, candidate : str
        The two methods.
    """
    by = {verdict: [c.pattern for c in compared if c.verdict == verdict] for verdict in ("better", "worse", "unknown")}
    parts = [
        say(f"handling.verdict.{name}_sentence", patterns=listed(found), baseline=baseline, candidate=candidate)
        for name, found in by.items()
        if found
    ]
    if by_order := [c.pattern for c in compared if c.order_only]:
        parts.append(say("handling.verdict.order", patterns=listed(by_order)))
    return " ".join(parts) or say("handling.verdict.nothing")


def minutes_sentence(before: Any, after: Any) -> str:
    """What changes in a mean shift: minutes above each limit, minutes in which nothing should be lifted."""
    parts = [
        say("handling.verdict.level", level=fixed(level, 1), before=fixed(minutes), after=fixed(after.above[level]))
        for level, minutes in before.above.items()
    ]
    parts.append(say("handling.verdict.zero", before=fixed(before.forbidden_min), after=fixed(after.forbidden_min)))
    codes = dict.fromkeys(code for one in (before, after) for row in one.patterns for code in row.at_least)
    said = say("handling.verdict.minutes", before=before.method, after=after.method, parts=", ".join(parts))
    return f"{said} {say('handling.verdict.at_least', why=why_not(codes))}" if codes else said


def fitting_sentence(fittings: Sequence[Any]) -> str:
    """How many tasks each method fits."""
    counts: dict[str, int] = {}
    for name in (name for f in fittings for name in f.methods):
        counts[name] = counts.get(name, 0) + 1
    parts = [say("handling.fit.count", method=say(f"handling.fit.{name}"), count=n) for name, n in counts.items()]
    return say("handling.fit.answer", all=len(fittings), parts=", ".join(parts))


def fitting_rows(fittings: Sequence[Any], screened: Sequence[Any], units: str) -> list[dict[str, str]]:
    """Which method fits each task, why, and what it says.

    Parameters
    ----------
    fittings : sequence of Fitting
        As `fittings` gives them.
    screened : sequence of Screened
        The same tasks, screened, in the same order.
    units : {"metric", "us"}
        Unit set of the case, for forces.
    """
    return [
        {
            say("handling.column.task"): f"{f.pattern} · {f.task}",
            say("handling.column.method"): f.method,
            say("handling.column.fits"): ", ".join(say(f"handling.fit.{name}") for name in f.methods),
            say("handling.column.why"): ", ".join(say(f"handling.fit_why.{code}") for code in f.why),
            say("handling.column.says"): " ".join(filter(None, [_index_says(f, row), fitting_text(f, units)])),
        }
        for f, row in zip(fittings, screened, strict=True)
    ]


def _index_says(f: Any, row: Any) -> str:
    """What the lifting equation says of a task that it fits, and of any task in which nothing should be lifted."""
    zero = row.applies and row.li is None
    if "lifting" not in f.methods and not zero:
        return ""
    key = "zero" if zero else "silent" if row.li is None else "lifting"
    said = say(f"handling.fit_says.{key}", index=index_text(row.li, row.at_least), why=why_not(row.why_not))
    return f"{said} {part_sentence(row)}".strip()


def fitting_text(f: Any, units: str) -> str:
    """What the methods beside the lifting equation say on a task, with their status; forces in the unit set."""
    parts = []
    if f.factored:
        key = "team" if f.factored.persons > 1 else "factored_at_least" if f.factored.at_least else "factored"
        parts.append(say(f"handling.fit_says.{key}", index=index_text(f.factored.index)))
        parts.append(team_text(f.factored) if f.factored.persons > 1 else "")
    if f.strain:
        parts.append(say("handling.fit_says.strain", index=fixed(f.strain.index, 1)))
    if f.revised:
        parts.append(say("handling.fit_says.revised", index=fixed(f.revised.index, 1)))
    if f.carrying:
        parts.append(carry_text(f.carrying))
    if f.push:
        parts.append(push_text(f.push, units))
    if f.reach_s:
        parts.append(say("handling.fit_says.reach", seconds=fixed(f.reach_s)))
    if f.remaining:
        parts.append(say("handling.fit_says.remaining"))
    parts += [say(f"handling.missing.{code}") for code in f.missing]
    return " ".join(parts)


def mix_sentence(found: Any, turn: Any) -> str:
    """VLI of a method over the job mix and SLI of a rotation, which is None where there is none."""
    vli = found.variable.index if found.variable else None
    grid = found.gridded.index if found.gridded else None
    text = say(
        "handling.mix.row",
        method=found.method,
        vli=index_text(vli),
        rule=rule_text(found.variable),
        cells=found.cells,
        grid=index_text(grid),
    )
    known = turn is not None and not math.isnan(turn.index)
    rest = say("handling.mix.sli", sli=index_text(turn.index)) if known else say("handling.mix.no_sli")
    heaviest = say("handling.mix.heaviest", fili=index_text(float(found.fili.max()))) if found.fili.size else ""
    counts = {"forbidden": found.forbidden, "left_out": found.left_out}
    left = [say(f"handling.mix.{name}", count=count) for name, count in counts.items() if count]
    if found.at_least:
        left.append(say("handling.mix.at_least", why=why_not(found.at_least)))
    return " ".join(filter(None, [text, heaviest, *left, rest]))


def mix_paces(found: Any) -> str:
    """That patterns at paces far apart are averaged, and what to go by instead; empty where none are."""
    if not found.apart:
        return ""
    (slow, least), (fast, most) = found.apart
    ends = {"slow": slow, "least": fixed(least, 1), "fast": fast, "most": fixed(most, 1)}
    return say("handling.mix.paces", method=found.method, **ends)


def rule_text(variable: Any) -> str:
    """How the range of FILI was split."""
    return say(f"handling.mix.{variable.rule}") if variable else ""


def referred_rows(found: Iterable[Any]) -> list[dict[str, str]]:
    """Index of one lift with other reference masses, by population."""
    return [
        {
            say("handling.reference.population"): one.population,
            say("handling.reference.mass"): fixed(one.reference_kg),
            say("handling.reference.index"): index_text(one.index),
            say("handling.reference.source"): f"{one.source} ({say(f'front.status.{one.status}')})",
        }
        for one in found
    ]
