"""A method of setting cores: who and what takes part in a mold cycle, and what waits for what."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Gt, Le, Lt

from coreset.case.fields import Code, Count, CountFromOne, NotNegative, Percent, says

PartPercent = Annotated[float, Ge(0), Lt(100)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of the mold cycle: [[method.<name>.step]].

    Each resource does its steps in the order listed, cycle after cycle; a step also waits for the steps it names.
    """

    name: Code = says("name of the step")
    by: Code = says("who or what does it: machine, operator, operator 2, setter")
    element: str = says("element of the study whose standard time it takes", default="")
    constant_s: NotNegative | None = says("fixed duration, where it is not an element", default=None)
    source: str = says("where a fixed duration comes from", default="")
    after: tuple[str, ...] = says("steps of this cycle that must be over", default=())
    after_previous: tuple[str, ...] = says("steps of an earlier cycle that must be over", default=())
    cycles_back: CountFromOne = says("how many cycles before its own that earlier cycle is", default=1)
    window_s: NotNegative = says(
        "of its duration, seconds that fall in a window that costs the machine nothing", default=0.0
    )
    places: str = says("core or insert that it places by hand; not done where the mask takes that one", default="")
    patterns: tuple[str, ...] = says("patterns for which it exists; empty is all", default=())


@dataclass(frozen=True, slots=True, kw_only=True)
class Method:
    """One way of setting cores: [method.<name>] of case.toml."""

    method: Code = says("name of the method")
    title: str = says("the method in a few words", default="")
    mechanised: bool = says("whether it needs the setter and a mask", default=False)
    operators: CountFromOne = says("people who set cores", counted_in="people", default=1)
    crew: Literal["one mold", "alternate molds"] = says(
        "whether its operators work on one mold, or each does all steps of every second (third ...) mold alone",
        default="one mold",
    )
    rest: Literal["in the cycle", "in breaks", "in stops", "in waiting"] = says(
        "where its people take the rest that allowances grant: in the cycle, but for what breaks of the shift give; "
        "in breaks alone; in the stops listed; while they wait",
        default="in the cycle",
    )
    performance_pct: Annotated[float, Gt(0), Le(200)] = says(
        "pace of the crew over the standard's, from what it really makes",
        default=100.0,
        plausible=(10.0, 200.0),
        slip="a share instead of per cent",
    )
    breakage_pct: PartPercent = says("cores broken in setting, of those taken, found at once", default=0.0)
    breakage_s: NotNegative = says("time to clear a broken core away and set another", default=0.0)
    breakage_found: Literal["at the mold", "while loading"] = says(
        "where a broken core is found: at the mold, which waits, or while the mask is loaded", default="at the mold"
    )
    rework_pct: Percent = says("castings reworked because of how cores were set, such as mold shift", default=0.0)
    rework_cost: NotNegative = says("what reworking one casting costs", counted_in="{currency}/casting", default=0.0)
    cores_per_trip: Count = says("cores that one trip brings to the line; 0 leaves trips out", default=0)
    trip_min: NotNegative = says("time of one trip for cores", default=0.0)
    trips_by: Literal["another person", "operator, beside", "operator, mold waits"] = says(
        "who makes the trips: another person; an operator in time that the mold does not wait for; an operator for "
        "whom the mold waits",
        default="another person",
    )
    supply_places: Count = says("places for containers of cores at the line; 0 is not known", default=0)
    assembly_s: NotNegative = says(
        "time of people off the line to assemble, glue or prepare the cores of one mold", default=0.0
    )
    supply_source: str = says("where figures of breakage, rework, trips and assembly come from", default="")
    step_cost: NotNegative = says(
        "one-off cost of this method (racks, platform), if any", counted_in="{currency}", default=0.0
    )
    step_cost_source: str = says("where that cost comes from", default="")
    steps: tuple[Step, ...] = says("steps in the order of the work")
