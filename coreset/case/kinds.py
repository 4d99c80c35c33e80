"""Kinds of lines, and which facts of a line have a meaning on which."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

from coreset.case.plant import Line

MACHINE = "machine"
INDEX = "index"
"""The step by which all molds of a line move on together, or a turntable turns; steps may wait for it by this name."""
ACCUMULATING, INDEXING, TURNTABLE = "accumulating conveyor", "indexing line", "turntable"
STATION, FLASKS = "setting station", "flask loop"
SHARED = (INDEXING, TURNTABLE)
"""Kinds whose molding machine waits for an index."""
ROWS = (ACCUMULATING, TURNTABLE, STATION, FLASKS)
OWN = {
    "pouring_places": (INDEXING,),
    "weights_s": (INDEXING,),
    "setting_places": (STATION,),
    "move_s": (STATION,),
    "open_drags": (FLASKS,),
    "closing_s": (FLASKS,),
    "flasks": (FLASKS,),
    "flask_return_s": (FLASKS,),
    "mold_positions": ROWS,
    "pouring_mode": (ACCUMULATING,),
    "pouring_batch": (ACCUMULATING,),
    "outer_row_places": (ACCUMULATING,),
    "outer_row_stations": (ACCUMULATING,),
    "outer_row_index_s": (ACCUMULATING,),
    "upper_level_stations": (ACCUMULATING,),
    "upper_level_index_s": (ACCUMULATING,),
}
"""Facts of a line that only some kinds have."""
STATIONS = {
    ACCUMULATING: ("molding", "pouring", "outer row", "upper level", "shake-out"),
}
OTHER_STATIONS = ("molding", "core setting", "pouring", "shake-out")


def stations(kind: str) -> tuple[str, ...]:
    """Stations of a kind of line whose stops can be listed."""
    return STATIONS.get(kind, OTHER_STATIONS)


def out_of_place(line: Line) -> Iterator[tuple[str, object, tuple[str, ...]]]:
    """Facts stated of a line whose kind does not have them: name, value, the kinds that do.

    Examples
    --------
    >>> list(out_of_place(Line(kind="turntable", flasks=80)))
    [('flasks', 80, ('flask loop',))]
    """
    for field in dataclasses.fields(line):
        kinds, value = OWN.get(field.name, (line.kind,)), getattr(line, field.name)
        if line.kind not in kinds and value != field.default:
            yield field.name, value, kinds
