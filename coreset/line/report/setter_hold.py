"""Sentences on the setter's fit: which cores it holds by calculation, what is missing, what to check."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from coreset.case import UNIT_SETS, Case
from coreset.line.hold_chance import DRAWS, hold_chances
from coreset.line.setter_hold import least_safety_factor
from coreset.line.setter_limits import TOO_LARGE, air_demand, load, too_short_strokes
from coreset.report.numbers import MOST_NAMED, listed, number, percent
from coreset.rounding import fixed
from coreset.text import say


def answer(case: Case, found: Sequence[Any]) -> str:
    """Whether the setter holds the cores, as far as can be calculated; patterns in which nothing is known by name."""
    size = [p.pattern for p in found if any(TOO_LARGE & set(c.breaks) for c in p.cores)]
    weak = [p for p in found if any("force" in c.breaks for c in p.cores)]
    unknown = [p for p in found if p.holds is None]
    said = [say("line.fit.answer_size", patterns=listed(size), why=_why(found))] if size else []
    if weak:
        core = min((c for p in weak for c in p.cores if "force" in c.breaks), key=lambda c: c.factor)
        said.append(
            say(
                "line.fit.answer_some",
                patterns=listed([p.pattern for p in weak]),
                core=f"{core.pattern} {core.core}",
                factor=fixed(core.factor, 1),
                orientation=say(f"line.orientation.{worst(core).orientation}"),
                wanted=fixed(core.wanted, 1),
            )
        )
    if unknown:
        lacks = dict.fromkeys(name for p in unknown for c in p.cores for name in c.lacks)
        names = listed([say(f"line.lacks.{name}") for name in lacks])
        said.append(say("line.fit.answer_unknown", patterns=listed([p.pattern for p in unknown]), lacks=names))
    return " ".join(said or [_all(found)])


def _why(found: Sequence[Any]) -> str:
    """What stands against cores on the mask, each thing once."""
    codes = dict.fromkeys(code for p in found for c in p.cores for code in c.breaks if code in TOO_LARGE)
    return listed([say(f"line.breaks.{code}") for code in codes])


def _all(found: Sequence[Any]) -> str:
    core = min((c for p in found for c in p.cores), key=lambda c: c.factor)
    factor = fixed(core.factor, 1)
    return say("line.fit.answer_all", count=len(found), factor=factor, pattern=core.pattern, core=core.core)


def worst_first(found: Sequence[Any]) -> list[Any]:
    """Patterns, the one whose cores are held worst first; those of which nothing is known last."""
    least = {p.pattern: min((c.factor for c in p.cores if math.isfinite(c.factor)), default=math.inf) for p in found}
    return sorted(found, key=lambda p: least[p.pattern])


def worst(core: Any) -> Any:
    """The position of the turn in which the core is held worst."""
    return min(core.held, key=lambda held: held.factor)


def sentences(case: Case, found: Sequence[Any]) -> list[str]:
    """What the patterns that are not held would need, the worst first and of many those; the air, the safety factor."""
    needy = sorted(_needy(found), key=lambda core: core.factor)
    told = needy if len(needy) <= MOST_NAMED + 1 else needy[:MOST_NAMED]
    said = [_need(core) for core in told]
    if len(needy) > len(told):
        said.append(say("line.fit.need_others", count=len(needy) - len(told)))
    air = found[0]
    if air.air_l_per_mold > 0:
        blanks = {"air": number(air.air_l_per_mold), "cost": number(air.air_cost_per_mold, 4)}
        said.append(say("line.fit.air", currency=case.currency, **blanks))
    said += _air(case)
    said += _load(case, found)
    if case.setter.safety_factor < least_safety_factor():
        said.append(say("line.fit.safety_factor", factor=fixed(case.setter.safety_factor, 1)))
    return said


def _air(case: Case) -> list[str]:
    """Air that the generators take against the air entered and the compressor, where it is known."""
    air = air_demand(case)
    if air is None:
        return [say("line.fit.air_lacks")] if case.setter.held_s or case.setter.compressor_l_min else []
    told = {"entered": number(air.entered_l), "taken": number(air.taken_l), "feed": number(air.feed_l_min)}
    said = [say("line.fit.air_differs", **told)] if air.differs else []
    return [*said, *([say("line.fit.air_short", most=number(air.most_l_min), **told)] if air.short else [])]


def _load(case: Case, found: Sequence[Any]) -> list[str]:
    """Heaviest load of mask and cores against what the setter may carry, where that is entered."""
    if case.setter.payload <= 0:
        return []
    name = max((p.pattern for p in found), key=lambda pattern: load(case, pattern))
    unit = UNIT_SETS[case.units]["mass"]
    most, own = fixed(case.setter.payload, 1), fixed(load(case, name), 1)
    key = "payload" if case.setter.mask_mass > 0 else "payload_bare"
    return [say(f"line.fit.{key}", pattern=name, load=own, most=most, unit=unit)]


def chances(case: Case, found: Sequence[Any], *, seed: int | None = None) -> list[str]:
    """The chance of each pattern over what is not known, the worst first, and the trial that settles it.

    Parameters
    ----------
    case : Case
        Cores and setter.
    found : sequence of FitOfPattern
        Fit by pattern; a pattern too large for the setter has no chance to state.
    seed : int, optional
        Of the draws; the case's own if left out.
    """
    rows = sorted(hold_chances(case, seed=seed), key=lambda row: row.chance)
    broken = {p.pattern for p in found if any((TOO_LARGE & set(c.breaks)) or "face" in c.lacks for c in p.cores)}
    told = [row for row in rows if row.pattern not in broken]
    if not told:
        return []
    each = [
        say("line.fit.chance_of", pattern=row.pattern, chance=percent(_of_draws(row.chance)),
            low=fixed(row.reached_kpa[1]), high=fixed(row.reached_kpa[2]))
        for row in told[:MOST_NAMED]
    ]  # fmt: skip
    return [say("line.fit.chance", rows=listed(each)), say("line.fit.trial")]


def _of_draws(chance: float) -> float:
    """A chance that draws found: none and all of them say less than 0 and 1."""
    return min(max(chance, 0.5 / DRAWS), 1.0 - 0.5 / DRAWS)


def strokes(case: Case, mold_cycles: Sequence[Any]) -> list[str]:
    """Methods whose setter's steps are shorter than its stroke can be."""
    return [
        say("line.fit.stroke", pattern=pattern, method=method, seconds=fixed(own, 1), least=fixed(least, 1))
        for pattern, method, own, least in too_short_strokes(case, mold_cycles)
    ]


def _needy(found: Sequence[Any]) -> Iterable[Any]:
    for p in found:
        weak = [core for core in p.cores if "force" in core.breaks]
        if weak:
            yield min(weak, key=lambda core: core.factor)


def _need(core: Any) -> str:
    """What would hold a pattern's worst core: more generators, more pad, either, or neither."""
    more, pad = math.isfinite(core.generators_needed), math.isfinite(core.pad_area_cm2)
    key = "need" if more and pad else "need_generators" if more else "need_pad" if pad else "need_neither"
    return say(
        f"line.fit.{key}",
        pattern=core.pattern,
        generators=number(core.generators_needed),
        have=core.generators,
        area=number(core.pad_area_cm2),
        now=number(core.area_cm2),
    )


def verdict(core: Any) -> str:
    """Holds, does not hold, does not fit, or cannot be said."""
    if TOO_LARGE & set(core.breaks):
        return say("line.verdict.size")
    return say(f"line.verdict.{'unknown' if core.holds is None else 'yes' if core.holds else 'no'}")


def hold_rows(found: Sequence[Any]) -> list[dict[str, str]]:
    """One row a core: verdict, factor in its worst position, vacuum, leak, pads, generators, what to check."""

    def column(name: str) -> str:
        return say(f"line.column.{name}")

    table = []
    for core in (core for p in found for core in p.cores):
        held = worst(core)
        table.append(
            {
                column("pattern"): core.pattern,
                column("core"): f"{core.core} × {core.per_mold}",
                column("held"): verdict(core),
                column("factor"): fixed(core.factor, 1),
                column("orientation"): say(f"line.orientation.{held.orientation}"),
                column("vacuum"): fixed(core.reached_kpa),
                column("leak"): fixed(core.leak_l_min * core.per_mold),
                column("area"): f"{fixed(core.area_cm2)} / {fixed(core.pad_area_cm2)}",
                column("generators"): f"{core.generators} / {number(core.generators_needed)}",
            }
        )
    return table


def reminders(found: Sequence[Any]) -> list[str]:
    """What to check before a trial and on which cores, one sentence for each thing to check."""
    cores: dict[str, list[str]] = {}
    for core in (core for p in found for core in p.cores):
        for code in core.reminds:
            cores.setdefault(code, []).append(f"{core.pattern} {core.core}")
    return [f"{listed(names)}: {say(f'line.reminds.{code}')}." for code, names in cores.items()]
