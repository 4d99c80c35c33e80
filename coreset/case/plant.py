"""The molding line and the core setter: what both can do, and what it takes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Gt, Le, Lt

from coreset.case.fields import Count, CountFromOne, NotNegative, Positive, says

Uptime = Annotated[float, Gt(0), Le(1)]
PartPercent = Annotated[float, Ge(0), Lt(100)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """One cause of stops at one station: [[line.stop]]."""

    cause: str = says("cause of the stop")
    station: Literal["molding", "core setting", "pouring", "outer row", "upper level", "shake-out"] = says(
        "station that stands"
    )
    every_min: Positive = says("mean running time of that station itself between two stops; waiting does not count")
    lasts_min: Positive = says("mean length of a stop")
    spread: Literal["constant", "exponential"] = says(
        "how both are distributed: exponential, or constant", default="exponential"
    )
    source: str = says("where the figures come from", default="")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """The line from mold to shake-out: [line] of case.toml."""

    kind: Literal["accumulating conveyor", "indexing line", "turntable", "setting station", "flask loop"] = says(
        "how molds move: each by itself up to the next; all at one index; on a table that turns between "
        "molding and core setting; to a core-setting station apart; in flasks that come back, drags open in a row",
        default="accumulating conveyor",
    )
    hours_per_shift: Positive = says(
        "hours the line is manned in a shift", counted_in="h", default=8.0, plausible=(0.0, 24.0), slip="minutes"
    )
    breaks_min: NotNegative = says(
        "paid breaks of a shift that those hours leave out; the rest that they give is not in the mold cycle too",
        default=0.0,
        plausible=(0.0, 240.0),
        slip="seconds",
    )
    shifts_per_day: Positive = says("shifts a day", counted_in="shifts/day", default=1.0)
    days_per_year: Positive = says("working days per year", counted_in="days/year", default=240.0)
    uptime: Uptime | None = says(
        "overall running time over scheduled time, whatever the method; instead of a list of stops, never with one",
        counted_in="share",
        default=None,
    )
    uptime_source: str = says("where the uptime comes from", default="")
    other_stops_pct: PartPercent | None = says(
        "share of the scheduled time in which the whole line stands for anything that is not in the list of stops",
        default=None,
    )
    other_stops_source: str = says("where that share comes from", default="")
    changeover_min: NotNegative = says("set-up of a pattern, whatever the method", default=0.0)
    core_window_s: NotNegative = says(
        "time a cycle in which cores can be set without stopping the machine", default=0.0
    )
    mold_positions: CountFromOne = says("mold places between molding and pouring", default=1)
    pouring_s: Positive = says("time to pour one mold and move on", default=10.0)
    pouring_cv: NotNegative = says(
        "pouring time, standard deviation over mean; 0 is none", counted_in="times", default=0.0
    )
    pouring_mode: Literal["index", "batch"] = says(
        "at the line's index, or in batches at the pourer's own pace", default="index"
    )
    pouring_batch: CountFromOne = says("molds poured in one batch", default=1)
    index_s: NotNegative = says("time the line needs to index by one mold, or a turntable to turn", default=0.0)
    pouring_places: CountFromOne = says(
        "places of an indexing line through which the pourer follows the molds", default=1
    )
    weights_s: NotNegative = says("time to set weights and jackets at an index of an indexing line", default=0.0)
    setting_places: Count = says("mold places between molding and a core-setting station apart", default=0)
    move_s: NotNegative = says("time a mold takes from molding to a core-setting station apart", default=0.0)
    open_drags: CountFromOne = says("drags that stand open for core setting in a flask loop", default=1)
    closing_s: NotNegative = says("time to close one flask in a flask loop", default=0.0)
    flasks: Count = says("flasks in a flask loop; 0 is more than enough", default=0)
    flask_return_s: NotNegative = says("time an empty flask takes from shake-out back to molding", default=0.0)
    cooling_places: CountFromOne = says("mold places between pouring and shake-out", default=100)
    outer_row_places: NotNegative = says(
        "further places in an outer row or an upper level that count as more of the same", default=0.0
    )
    outer_row_stations: Count = says(
        "stations of an outer row that molds travel after the places above; 0 is no such row", default=0
    )
    outer_row_index_s: NotNegative = says("time the outer row needs to index by one mold", default=0.0)
    upper_level_stations: Count = says(
        "stations of upper levels that molds travel last before shake-out; 0 is no such level", default=0
    )
    upper_level_index_s: NotNegative = says("time an upper level needs to index by one mold", default=0.0)
    thin_section: NotNegative = says(
        "a thin governing section whose cooling time the plant knows", unit="size", default=0.0
    )
    thin_cooling_min: NotNegative = says("cooling time in the mold of that thin section", default=0.0)
    thick_section: NotNegative = says(
        "a thick governing section whose cooling time the plant knows", unit="size", default=0.0
    )
    thick_cooling_min: NotNegative = says("cooling time in the mold of that thick section", default=0.0)
    shakeout_s: NotNegative = says("time to shake out one mold", default=0.0)
    saved_hours_used: bool = says("whether freed line hours can be filled with molds that sell", default=True)
    stops: tuple[Stop, ...] = says("stops of one station each", default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class Setter:
    """The core setter as offered or tried: [setter] of case.toml."""

    mask_change_min: NotNegative = says(
        "extra set-up of a run for changing the mask, or for swinging the setter aside for a run by hand after it",
        default=0.0,
    )
    mask_prep_min: NotNegative = says("time of one person to prepare a change of mask while the line runs", default=0.0)
    downtime_share: Annotated[float, Gt(-1e-9), Le(0.5)] = says(
        "share of its time the setter itself is down", counted_in="share", default=0.0
    )
    mask_length: NotNegative = says("usable length of a mask", unit="size", default=0.0)
    mask_width: NotNegative = says("usable width of a mask", unit="size", default=0.0)
    mask_mass: NotNegative = says("mass of a mask with what hangs on it, such as hoses", unit="mass", default=0.0)
    payload: NotNegative = says("mass that it may carry at that reach and speed", unit="mass", default=0.0)
    lowering: NotNegative = says("height through which it lowers cores into the drag", unit="size", default=0.0)
    stroke_m: NotNegative = says("distance of one stroke, there and back", default=0.0)
    stroke_speed_m_s: NotNegative = says("highest speed in a stroke; 0 is not known", default=0.0)
    turn_acceleration_m_s2: NotNegative = says("acceleration while it turns and lowers", default=2.0)
    vacuum_max_kpa: NotNegative = says(
        "vacuum of one generator with no flow", default=0.0, plausible=(0.0, 101.325), slip="mbar"
    )
    vacuum_flow_l_min: NotNegative = says("suction of one generator with no vacuum", default=0.0)
    curve_kpa: tuple[float, ...] = says(
        "vacuum at measured points of one generator's curve, from 0 up; instead of the two figures above", default=()
    )
    curve_l_min: tuple[float, ...] = says("suction of free air at each of those points", default=())
    generators: CountFromOne = says("vacuum generators", default=1)
    feed_l_min: NotNegative = says("compressed air, free air, that one generator takes while it holds", default=0.0)
    held_s: NotNegative = says("time a cycle for which cores are held by vacuum", default=0.0)
    compressor_l_min: NotNegative = says("free air that the compressor can give to the setter", default=0.0)
    safety_factor: Annotated[float, Ge(1)] = says(
        "holding force over weight; not below 2 for porous loads", counted_in="times", default=2.0
    )
    air_l_per_cycle: NotNegative = says("compressed air a cycle, free air", counted_in="l/mold", default=0.0)
    power_kw: NotNegative = says("electric power while running", default=0.0)
    claimed_cycle_s: NotNegative = says("cycle time that the vendor claims; tested against the studies", default=0.0)
    source: str = says("where these figures come from", default="")
