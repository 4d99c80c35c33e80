"""Sentences on the line: what it makes, what limits it, who waits for whom, what each change brings, what holds."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from coreset.case import Case
from coreset.line.rates import gain_ends
from coreset.report.numbers import listed, number
from coreset.rounding import fixed
from coreset.text import catalogue, say

NOTE_DIGITS = dict.fromkeys(("factor", "low", "high"), 3) | dict.fromkeys(("minutes", "seconds"), 0)
NOTE_DIGITS |= {"wanted": 1, "uptime": 2, "left": 4, "other": 1}
WORTH_SAYING = 0.005
"""Gain below which nothing is said to be gained; an interval of a run is about as wide."""
WAITS_S = 0.5
PERCENT = 100.0


def note(item: Any) -> str:
    """One thing the reader must be told of the line, in words."""
    blanks = dict(item.blanks)
    if not isinstance(blanks.get("pattern", ""), str):
        blanks["pattern"] = listed(blanks["pattern"])
    for name, digits in NOTE_DIGITS.items():
        if blanks.get(name) is not None:
            blanks[name] = fixed(blanks[name], digits)
    if "taken" in blanks:
        blanks["taken"] = say(f"line.rest.{blanks['taken']}")
    return say(f"line.notes.{item.code}", **blanks)


def floor(check: Any) -> list[str]:
    """The current method as predicted and counted, pattern by pattern, and the factor; or that nothing was counted."""
    if check is None:
        return [say("line.notes.not_checked")]
    said = []
    for row in check.patterns:
        ends = {"predicted": row.predicted, "counted": row.counted}
        shown = {name: f"{number(v[0], 1)} ({number(v[1], 1)} – {number(v[2], 1)})" for name, v in ends.items()}
        said.append(say("line.today.differs" if row.differs else "line.today.agrees", pattern=row.pattern, **shown))
        if row.paces is not None:
            pace, rested = (fixed(PERCENT * one) for one in row.paces)
            said.append(say("line.today.paces", pattern=row.pattern, pace=pace, rested=rested))
    factor, low, high = (fixed(value, 3) for value in check.factor)
    return [*said, say("line.notes.calibrated", factor=factor, low=low, high=high)]


def who(name: str) -> str:
    """Who or what takes part, in words where it is one of ours.

    Examples
    --------
    >>> who("machine"), who("robot")
    ('molding machine', 'robot')
    """
    key = f"line.who.{name}"
    return say(key) if key in catalogue() else name


def where(name: str) -> str:
    """A part of the line in words; a worker or a step of a method by its own name."""
    key = f"line.where.{name}"
    return say(key) if key in catalogue() else who(name)


def signed(share: float, digits: int = 0) -> str:
    """A change in percent with its sign.

    Examples
    --------
    >>> signed(0.118), signed(-0.05)
    ('+12', '−5')
    """
    text = number(PERCENT * share, digits)
    if not float(text.replace("−", "-").replace("\N{NO-BREAK SPACE}", "")):
        return text.lstrip("−")
    return text if text.startswith("−") else f"+{text}"


def rates_notes(found: Iterable[Any]) -> str:
    """What is in the good molds of a shift and in the stops; that no scrap was entered, if none was."""
    found = list(found)
    none = [say("line.flow.no_scrap")] if all(row.scrap is None for row in found) else []
    other = number(PERCENT * (1.0 - found[0].running), 1)
    return " ".join([say("line.good_note"), *none, say("line.uptime_note", other=other)])


def pairs(case: Case, rates: Iterable[Any]) -> list[tuple[Any, Any]]:
    """Rates of the patterns that have one under both methods that are compared."""
    known = {(row.pattern, row.method): row for row in rates}
    names = [p.pattern for p in case.patterns]
    both = [(known.get((n, case.baseline)), known.get((n, case.candidate))) for n in names]
    return [(now, then) for now, then in both if now is not None and then is not None]


def gain(pair: tuple[Any, Any]) -> float:
    """Molds an hour more, as a share."""
    return pair[1].molds_per_h / pair[0].molds_per_h - 1


def answer(case: Case, rates: Sequence[Any]) -> str:
    """What the line makes with either method, and what limits it."""
    both = pairs(case, rates)
    if not both:
        return " ".join(_one(row) for row in rates[:1]) or say("line.page.nothing")
    ends = [gain_ends(*pair) for pair in both]
    faster = [pair for pair, (low, _) in zip(both, ends, strict=True) if low > 0]
    slower = [pair[0].pattern for pair, (_, high) in zip(both, ends, strict=True) if high < 0]
    unproven = [pair[0].pattern for pair, (low, high) in zip(both, ends, strict=True) if low <= 0 <= high]
    parts = [_most(case, faster, len(both))]
    for code, names in (("slower", slower), ("unproven", unproven)):
        if names:
            parts.append(say(f"line.answer.{code}", patterns=listed(names)))
    return " ".join([*parts, *_limits(case, both)])


def _one(row: Any) -> str:
    rate = number(row.molds_per_h, 1)
    return say("line.answer.one_method", rate=rate, pattern=row.pattern, method=row.method, where=where(row.limited_by))


def _most(case: Case, faster: list[tuple[Any, Any]], count: int) -> str:
    if not faster:
        return say("line.answer.none", candidate=case.candidate, baseline=case.baseline, all=count)
    now, then = max(faster, key=gain)
    return say(
        "line.answer.faster",
        candidate=case.candidate,
        count=len(faster),
        all=count,
        pattern=now.pattern,
        then=number(then.molds_per_h),
        now=number(now.molds_per_h),
        gain=signed(gain((now, then))),
    )


def _limits(case: Case, both: list[tuple[Any, Any]]) -> list[str]:
    found: dict[tuple[str, str], list[str]] = {}
    for row in (row for pair in both for row in pair):
        if row.limited_by != "molding":
            found.setdefault((row.limited_by, row.method), []).append(row.pattern)
    said = [
        say("line.answer.limits", patterns=listed(names), where=where(name), method=method)
        for (name, method), names in found.items()
    ]
    return said or [say("line.answer.molding")]


def cycle(row: Any) -> list[str]:
    """One mold cycle: how long, what sets it, who waits for whom, what was left out."""
    said = [
        say(
            "line.cycle.answer",
            pattern=row.pattern,
            method=row.method,
            mean=fixed(row.mean_s, 1),
            low=fixed(row.low_s, 1),
            high=fixed(row.high_s, 1),
            p90=fixed(row.p90_s),
            loop=listed(row.critical),
        )
    ]
    if row.p90_s < row.mean_s:
        said.append(say("line.cycle.seldom"))
    more, pace = row.mean_s - row.deterministic_s, fixed(row.deterministic_s, 1)
    said.append(
        say("line.cycle.wider", more=fixed(more, 1), fixed=pace) if more > 0.05 else say("line.cycle.same", fixed=pace)
    )
    for name, waits in row.waits_for.items():
        for other, seconds in sorted(waits.items(), key=lambda item: -item[1]):
            if seconds >= WAITS_S:
                said.append(say("line.cycle.waits", who=upper(who(name)), seconds=fixed(seconds, 1), other=who(other)))
    said += _rest(row.rest)
    if row.left_out:
        said.append(say("line.cycle.left_out", elements=listed(row.left_out)))
    return said


def _rest(rest: Any) -> list[str]:
    """Where rest is taken and how fast the crew works, with what that does to the mold cycle."""
    if rest is None or (rest.allowed <= 0 and rest.performance == 1.0):
        return []
    shares = {name: fixed(PERCENT * getattr(rest, name), 1) for name in ("allowed", "in_cycle")}
    seconds = {name: fixed(getattr(rest, f"{name}_s"), 1) for name in ("cycle", "all_in_cycle")}
    pace = fixed(PERCENT * rest.performance)
    said = [
        say(
            "line.cycle.rest",
            taken=say(f"line.rest.{rest.taken}"),
            pace=pace,
            **shares,
            **{"now": seconds["cycle"], "all": seconds["all_in_cycle"]},
        )
    ]
    return [*said, say("line.cycle.rest_short", minutes=fixed(rest.short_min, 1))] if rest.short_min > 0 else said


def upper(text: str) -> str:
    """The text with a capital at its beginning."""
    return text[:1].upper() + text[1:]


def part(name: str, amount: float) -> str:
    """One change of the line in words.

    Examples
    --------
    >>> part("positions", 8.0), part("pourer", 0.1), part("setter", 1.0)
    ('8 more mold positions', 'a pourer 10 % faster', 'the setter')
    """
    if name == "positions" and amount == 1:
        return say("line.part.position")
    count = PERCENT * amount if name == "pourer" else amount
    return say(f"line.part.{name}", count=fixed(count))


def parts(row: Any) -> str:
    """Several changes together in words."""
    if len(row.parts) > 2:
        return say("line.part.all")
    return listed([part(name, amount) for name, amount in row.parts])


def gains(found: Sequence[Any]) -> list[str]:
    """What the setter brings alone and with each other change: those that matter, the most first."""
    known = {row.parts: row for row in found}
    setter = known.get((("setter", 1.0),))
    best = max(found, key=lambda row: row.share, default=None)
    if best is None or best.share < WORTH_SAYING:
        return [say("line.flow.gain_none")]
    if setter is None:
        return [say("line.flow.gain_alone", what=upper(parts(best)), share=signed(best.share, 1))]
    alone = say("line.flow.gain_alone_setter", setter=upper(part("setter", 1.0)), alone=signed(setter.share, 1))
    best_of = [max(rows, key=lambda r: r.share) for rows in _with_setter(found)]
    helps = [row for row in best_of if row.share - setter.share >= WORTH_SAYING]
    rest = listed([part(*row.parts[1]) for row in best_of if row not in helps])
    said = [_joined(row, setter, known) for row in sorted(helps, key=lambda row: -row.share)] or [alone]
    together = [say("line.flow.gain_all", share=signed(row.share, 1)) for row in found if len(row.parts) > 2]
    return [*said, *([say("line.flow.gain_rest", rest=rest)] if rest else []), *together]


def _with_setter(found: Sequence[Any]) -> list[list[Any]]:
    """Gains of the setter with one other change, by the kind of that change."""
    kinds: dict[str, list[Any]] = {}
    for row in found:
        if row.parts[0] == ("setter", 1.0) and len(row.parts) == 2:
            kinds.setdefault(row.parts[1][0], []).append(row)
    return list(kinds.values())


def _joined(row: Any, setter: Any, known: dict[Any, Any]) -> str:
    return say(
        "line.flow.gain_line",
        setter=upper(part("setter", 1.0)),
        alone=signed(setter.share, 1),
        what=part(*row.parts[1]),
        together=signed(row.share, 1),
        without=signed(known[row.parts[1:]].share, 1),
    )


def jobs(chosen: Any, by_hand: Any, masked: Sequence[str]) -> list[str]:
    """Hours of the year's runs with the masks chosen, and what is left.

    Parameters
    ----------
    chosen, by_hand : JobMix
        The year's runs with the masks chosen, and all by hand: hours needed, available, of changes. [h]
    masked : sequence of str
        Patterns that have a mask.
    """
    names = say("line.jobs.masks", patterns=listed(masked)) if masked else say("line.jobs.no_masks")
    blanks = {
        "runs": len(chosen.runs),
        "needed": number(chosen.needed_h + chosen.other_h),
        "available": number(chosen.available_h),
        "chosen": names,
    }
    over = chosen.left_h < 0
    said = [
        say("line.jobs.over", over=number(-chosen.left_h), **blanks)
        if over
        else say("line.jobs.answer", left=number(chosen.left_h), **blanks)
    ]
    if chosen.other_h > 0:
        said.append(say("line.jobs.other", hours=number(chosen.other_h)))
    taken, plain = sum(chosen.change_h.values()), sum(by_hand.change_h.values())
    return [*said, say("line.jobs.changes", hours=number(taken), more=number(taken - plain))]
