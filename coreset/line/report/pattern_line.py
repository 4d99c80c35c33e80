"""Sentences on one pattern from mold to shake-out: changes, what stations stand for, what a second is worth."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from coreset.case import UNIT_SETS, Case
from coreset.case.kinds import ACCUMULATING
from coreset.line.cooling import beyond_known, cooling_min, taken_from_section
from coreset.line.report.core_supply import lasts
from coreset.line.report.sentences import PERCENT, gains, upper, where
from coreset.line.station_limits import rows_after
from coreset.report.numbers import listed
from coreset.rounding import fixed
from coreset.text import say

WORTH_A_SECOND = 0.05
"""Molds an hour that a second less must bring to be worth saying."""
WORTH_STANDING = 0.05
"""Share of its time that a station must stand for others to be worth a sentence."""


def flow(case: Case, found: Any) -> list[str]:
    """One pattern from mold to shake-out, a paragraph a method, then the way of the molds, then what helps."""
    need, said, cool = cooling_min(case, case.pattern(found.pattern)), [], []
    for row in found.methods:
        first = say("line.flow.change", method=row.method, change=fixed(row.change_min))
        said.append(" ".join([first, *_waits(row), *lasts(case, row.rate)]))
        cool.append(_cooling(need, row.run))
    way = " ".join([*dict.fromkeys(cool), *_way(case, found.pattern)])
    helps = " ".join(gains(found.gains))
    return [paragraph for paragraph in (*said, way, helps) if paragraph]


def _waits(row: Any) -> list[str]:
    """For each station that stands for a good part of its time, what most of it comes from."""
    said = []
    for name, lost in row.run.roots.items():
        standing = {key: share for key, share in lost.items() if key[0] in ("blocked", "starved")}
        if sum(standing.values()) >= WORTH_STANDING:
            first = max(standing, key=lambda key: standing[key])
            blanks = {"all": fixed(PERCENT * sum(standing.values())), "most": fixed(PERCENT * standing[first])}
            said.append(say("line.flow.stands", where=upper(where(name)), root=root(*first[1:]), **blanks))
    return said


def root(kind: str, name: str) -> str:
    """What a wait comes from, in words."""
    return say(f"line.root.{kind}", name=where(name) if kind in ("pace", "row") else name)


def _cooling(need: float, run: Any) -> str:
    if need <= 0:
        return say("line.flow.no_need")
    if run.early_share > 0:
        share, first = fixed(PERCENT * run.early_share), fixed(run.shortest_min)
        return say("line.flow.hot", share=share, need=fixed(need), shortest=first)
    return say("line.flow.cool", need=fixed(need))


def _kind(case: Case) -> list[str]:
    """How molds move on this kind of line; nothing on an accumulating conveyor."""
    line = case.line
    if line.kind == ACCUMULATING:
        return []
    return [say(f"line.flow.kind_{line.kind}", places=line.setting_places, drags=line.open_drags)]


def _way(case: Case, pattern: str) -> list[str]:
    """What is stated of the way from pouring on: scatter of the pouring time, rows after the first."""
    said, p = _kind(case), case.pattern(pattern)
    if taken_from_section(case, p):
        size = UNIT_SETS[case.units]["size"]
        blanks = {"section": fixed(p.section, 1), "thin": fixed(case.line.thin_section, 1), "size": size}
        said.append(say("line.flow.section", thick=fixed(case.line.thick_section, 1), **blanks))
        said += [say("line.flow.section_beyond")] if beyond_known(case, p) else []
    if case.line.pouring_cv > 0:
        said.append(say("line.flow.scatter", share=fixed(PERCENT * case.line.pouring_cv)))
    rows = [
        say("line.flow.row", row=where(name), stations=stations, index=fixed(index, 1))
        for name, stations, index in rows_after(case, p)
    ]
    return [*said, say("line.flow.rows", rows=listed(rows))] if rows else said


def warm_up(found: Any, seed: int) -> str:
    """How the runs were made, and the seed that makes them again."""
    run = found.methods[0].run
    return say("line.warm_up", replications=run.replications, molds=run.warm_up, seed=seed)


def seconds(found: Iterable[Any]) -> list[str]:
    """What a second less is worth at each station."""
    rows = list(found)
    worth = [row for row in rows if row.gain_per_h >= WORTH_A_SECOND]
    said = [say("line.flow.second", gain=fixed(row.gain_per_h, 2), where=where(row.station)) for row in worth]
    none = [where(row.station) for row in rows if row not in worth]
    return [*said, say("line.flow.second_none", where=listed(none))] if none else said
