"""The line as a mold travels it: every station and mold place in order; where cores are set, who takes part."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from textwrap import wrap
from typing import Any

import altair as alt

from coreset.case import Case
from coreset.case.kinds import ACCUMULATING, FLASKS, MACHINE, STATION, TURNTABLE
from coreset.line.charts.activity import people
from coreset.line.line_kinds import CLOSE, SETTING
from coreset.line.report import sentences
from coreset.line.service_times import MOLDING, POURING, SHAKE_OUT
from coreset.line.station_limits import inner_places, rows_after
from coreset.report import look
from coreset.report.numbers import listed
from coreset.text import say

COLUMNS, MOST_DRAWN = 30, 200
"""Places side by side before the track turns back; places of one stretch that are drawn, however many there are."""
UNIT, TURN = 24, 1.25
"""Height of a line of words [px]; lines from one stretch of the track to the next."""
LETTERS = 1.3
"""Letters that a column holds on a narrow screen (390 px), so that names are wrapped and never cut."""
LINE, SETTER = "line", "setter"


def stretches(case: Case, pattern: str) -> tuple[tuple[str, int], ...]:
    """Every station in the order of a mold, each with the mold places after it.

    Parameters
    ----------
    case : Case
        Its line.
    pattern : str
        Its molds may leave out the outer row.
    """
    line, kind = case.line, case.line.kind
    first = {
        STATION: ((MOLDING, line.setting_places), (SETTING, line.mold_positions)),
        TURNTABLE: ((MOLDING, 0), (SETTING, line.mold_positions)),
        FLASKS: ((MOLDING, line.open_drags), (CLOSE, line.mold_positions)),
    }.get(kind, ((MOLDING, line.mold_positions),))
    if kind != ACCUMULATING:
        return (*first, (POURING, line.cooling_places), (SHAKE_OUT, 0))
    rows = ((name, count - 1) for name, count, _ in rows_after(case, case.pattern(pattern)))
    return (*first, (POURING, inner_places(case)), *rows, (SHAKE_OUT, 0))


def track_rows(case: Case, pattern: str) -> list[dict[str, str]]:
    """The figures behind the picture: one row a station, with the mold places after it."""
    return [
        {
            say("line.column.number"): str(number),
            say("line.column.station"): sentences.where(name),
            say("line.column.places"): str(count),
        }
        for number, (name, count) in enumerate(stretches(case, pattern), start=1)
    ]


def track(case: Case, closer: Any, cycles: Sequence[Any]) -> alt.LayerChart:
    """Stations by number, mold places as squares, the limiting station as a diamond; people and setter by method.

    Parameters
    ----------
    case : Case
        Its line.
    closer : Closer
        A pattern on the line; what limits its last method is marked.
    cycles : sequence of MoldCycle
        Mold cycles of the case: who takes part in them.
    """
    found, last = stretches(case, closer.pattern), closer.methods[-1]
    limit = last.rate.limited_by
    own = {row.method: row for row in cycles if row.pattern == closer.pattern}
    crews = {one.method: _crew(own[one.method]) for one in closer.methods if one.method in own}
    at = _set_at(found, case.line.kind)
    lines = _crew_lines(case, crews, at)
    spots = _spots(found, limit, len(lines) + 0.3)
    told = _told(found)
    blanks = {"method": last.method, "where": sentences.where(limit), "places": sum(count for _, count in found)}
    crews_told = "; ".join(f"{name}: {listed(map(sentences.who, crew))}" for name, crew in crews.items())
    note = say("line.chart.track_note", track=told)
    if max(count for _, count in found) > MOST_DRAWN:
        note = say("line.chart.track_cut", note=note, most=MOST_DRAWN)
    said = alt.TitleParams(text=say("line.chart.track", **blanks), subtitle=note)
    words = say("line.chart.track_text", pattern=closer.pattern, track=told, crews=crews_told)
    return alt.layer(*_layers(lines, spots, spots[at])).properties(
        title=said, description=words, width=look.WIDTH, height=UNIT * (max(spot["y"] for spot in spots) + 1)
    )


def _set_at(found: Sequence[tuple[str, int]], kind: str) -> int:
    """Place on the track where cores are set: a station for it, the first open drag of a flask loop, or the machine."""
    if kind == FLASKS:
        return 1
    names = [name for name, _ in found]
    return sum(1 + count for _, count in found[: names.index(SETTING)]) if SETTING in names else 0


def _crew_lines(case: Case, crews: Mapping[str, Sequence[str]], at: int) -> list[dict[str, Any]]:
    """Lines of words over the place where cores are set: each method, under it who takes part, with a mark each."""
    turn, along = divmod(at, COLUMNS)
    x = along if turn % 2 == 0 else COLUMNS - 1 - along
    left = x < COLUMNS / 2
    room = int(LETTERS * (COLUMNS - x if left else x))
    lines: list[dict[str, Any]] = []
    for name, crew in crews.items():
        own = {"x": x, "left": left, "colour": _colour(case, name)}
        lines += [own | {"name": part, "who": "method"} for part in wrap(name, room)]
        for who in crew:
            kinds = (SETTER if who == SETTER else "person", "more")
            parts = wrap(sentences.who(who), room)
            lines += [own | {"name": part, "who": kinds[min(k, 1)]} for k, part in enumerate(parts)]
    return [line | {"y": y} for y, line in enumerate(lines)]


def _colour(case: Case, method: str) -> str:
    return look.BASELINE if method == case.baseline else look.CANDIDATE


def _crew(row: Any) -> list[str]:
    """People and setter of a mold cycle."""
    return [who for who in people(row) if who not in (MACHINE, LINE)]


def _told(found: Sequence[tuple[str, int]]) -> str:
    """Stations with their numbers and places, in a line."""
    parts = []
    for number, (name, count) in enumerate(found, start=1):
        parts.append(say("line.chart.track_station", number=number, where=sentences.where(name)))
        if count:
            parts.append(say("line.chart.track_places" if count > 1 else "line.chart.track_place", count=count))
    return ", ".join(parts)


def _spots(found: Sequence[tuple[str, int]], limit: str, top: float) -> list[dict[str, Any]]:
    """A mark for each station and place, along a track that turns back at its end; of a long stretch the first ones."""
    spots: list[dict[str, Any]] = []
    for number, (name, count) in enumerate(found, start=1):
        spots.append({"kind": "limit" if name == limit else "station", "number": str(number)})
        cooling = name == POURING and limit == "cooling"
        spots += [{"kind": "limiting place" if cooling else "place", "number": ""}] * min(count, MOST_DRAWN)
    laid = []
    for at, spot in enumerate(spots):
        turn, along = divmod(at, COLUMNS)
        laid.append(spot | {"at": at, "x": along if turn % 2 == 0 else COLUMNS - 1 - along, "y": top + TURN * turn})
    return laid


def _layers(lines: list[Any], spots: list[Any], at: Mapping[str, Any]) -> list[alt.Chart]:
    x = alt.X("x:Q", axis=None, scale=alt.Scale(domain=[-0.7, COLUMNS - 0.3], nice=False))
    most = max(spot["y"] for spot in spots) + 0.5
    y = alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[most, -0.5], nice=False))
    own = alt.Color("colour:N", scale=None, legend=None)
    crew = alt.Shape(
        "who:N", scale=alt.Scale(domain=["person", SETTER], range=["circle", "triangle-down"]), legend=None
    )
    words, laid = (alt.Chart(alt.Data(values=values)) for values in (lines, spots))
    stem = alt.Chart(alt.Data(values=[{"x": at["x"], "y": 0, "end": at["y"]}] if lines else []))
    squares = laid.transform_filter("indexof(datum.kind, 'place') >= 0")
    limits = alt.condition("datum.kind == 'limiting place'", alt.value(look.ACCENT), alt.value(look.MUTED))
    side: dict[str, Any] = (
        {"align": "left", "dx": 12} if not lines or lines[0]["left"] else {"align": "right", "dx": -12}
    )
    heads = words.transform_filter("datum.who == 'method'")
    names = words.transform_filter("datum.who != 'method'")
    people_ = words.transform_filter(f"datum.who == 'person' || datum.who == '{SETTER}'")
    return [
        laid.mark_line(color=look.RULE, strokeWidth=5).encode(x=x, y=y, order=alt.Order("at:Q")),
        stem.mark_rule(color=look.MUTED).encode(x=x, y=y, y2="end:Q"),
        squares.mark_square(size=70, fill=look.PAPER, strokeWidth=1.2, opacity=1).encode(x=x, y=y, stroke=limits),
        laid.transform_filter("datum.kind == 'station'")
        .mark_square(size=330, filled=True, color=look.INK, opacity=1)
        .encode(x=x, y=y),
        laid.transform_filter("datum.kind == 'limit'")
        .mark_point(shape="diamond", size=520, filled=True, color=look.ACCENT, opacity=1)
        .encode(x=x, y=y),
        laid.mark_text(color=look.ON_BAR, fontSize=11, fontWeight=600).encode(x=x, y=y, text=alt.Text("number:N")),
        heads.mark_text(fontWeight=600, **side).encode(x=x, y=y, text=alt.Text("name:N"), color=own),
        people_.mark_point(size=150, filled=True, opacity=1).encode(x=x, y=y, color=own, shape=crew),
        names.mark_text(**side).encode(x=x, y=y, text=alt.Text("name:N")),
    ]
