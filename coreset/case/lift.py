"""Handling tasks and the place they are done in: what the lifting screen needs to know."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Le

from coreset.case.fields import Code, Count, CountFromOne, NotNegative, Percent, Positive, says

Degrees = Annotated[float, Ge(0), Le(180)]
Duration = Literal["short", "moderate", "long"]
Coupling = Literal["good", "fair", "poor"]
OTHER_SCALE = "the other scale, Fahrenheit or Celsius"
"""Limits of temperature here are common practice, no source: what no work place has, and 32 to 110 °F typed as °C."""
PLANT_CHANGES = (
    "rack_height", "rack_near", "mask_height", "mask_near", "mask_tilt", "platform", "turntable", "slower",
    "split_core", "lighter_core", "two_persons", "hoist", "handles",
)  # fmt: skip
"""Names of the changes to a lift that a plant may say it can make."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """One handling task: a row of lifts.csv. H V A D as in the revised NIOSH lifting equation."""

    task: Code = says("short name of the task, unlike any other of the case")
    method: Code = says("method that it belongs to")
    pattern: Code = says("pattern that it is done for")
    core: str = says("core that is lifted; empty for a mask, a rack or a box, which then need a mass", default="")
    mass: NotNegative = says("load, if it is not the mass of one core", unit="mass", default=0.0)
    mass_max: NotNegative = says("largest load met; 0 takes the load itself", unit="mass", default=0.0)
    lifts_per_mold: NotNegative = says("lifts for one mold", counted_in="lifts/mold", default=0.0)
    lifts_per_run: NotNegative = says(
        "lifts for one set-up of the pattern (masks, racks, pallets)", counted_in="lifts/run", default=0.0
    )
    frequency_per_min: NotNegative = says("lifts per minute, overriding what the standard implies", default=0.0)
    frequency_reason: str = says("why the frequency is overridden", default="")
    horizontal_origin: Positive = says("H at the origin, mid-ankles to hands", unit="length")
    vertical_origin: NotNegative = says("V at the origin, floor to hands", unit="length")
    asymmetry_origin_deg: Degrees = says("A at the origin, angle of twist", default=0.0)
    horizontal_destination: Positive = says("H at the destination", unit="length")
    vertical_destination: NotNegative = says("V at the destination", unit="length")
    asymmetry_destination_deg: Degrees = says("A at the destination", default=0.0)
    travel: NotNegative = says(
        "D, vertical travel; 0 takes the difference of the two heights", unit="length", default=0.0
    )
    coupling: Coupling = says("how well the hands hold it; gloved on a fragile core is normally poor", default="poor")
    control_at_destination: bool = says("whether it is placed with care; setting a core always is", default=True)
    hands: CountFromOne = says("hands used", default=2)
    persons: CountFromOne = says("people who lift it together", counted_in="people", default=1)
    duration: Duration | None = says("duration class; empty follows from the shift", default=None)
    hoist: bool = says("whether a hoist or manipulator bears the weight", default=False)
    seated: bool = says("seated or kneeling", default=False)
    restricted: bool = says("in a restricted space", default=False)
    unstable: bool = says("load or footing unstable", default=False)
    slippery: bool = says("floor friction below 0.4", default=False)
    fast: bool = says("moved faster than about 76 cm/s (30 in/s)", default=False)
    carry: NotNegative = says("distance carried", unit="distance", default=0.0)
    effort_borg: Annotated[float, Ge(0), Le(10)] = says(
        "hand effort on the Borg CR10 scale, for light work", counted_in="0–10", default=0.0
    )
    exertion_s: NotNegative = says("seconds of one hand exertion, for light work", default=0.0)
    wrist_deg: Annotated[float, Ge(-90), Le(90)] = says("wrist angle, flexion positive, for light work", default=0.0)
    hold_s: NotNegative = says("seconds that the load is held still in each lift, as while it is aligned", default=0.0)
    reach_s: NotNegative = says(
        "seconds of each mold with the arms held out or above the shoulders, or the back bent, apart from the lift",
        default=0.0,
    )
    push_start: NotNegative = says(
        "force at the handle that starts or stops a push or pull, the largest of three; 0 where none is measured",
        unit="force",
        default=0.0,
    )
    push_keep: NotNegative = says("force at the handle that keeps it moving, the mean", unit="force", default=0.0)
    push_height: NotNegative = says("height of the hands that push or pull", unit="length", default=0.0)
    push_distance: NotNegative = says("distance pushed or pulled without rest", unit="distance", default=0.0)
    horizontal_sd: NotNegative = says("how much H varies from cycle to cycle", unit="length", default=0.0)
    vertical_sd: NotNegative = says("how much V varies from cycle to cycle", unit="length", default=0.0)
    asymmetry_sd_deg: NotNegative = says("how much A varies from cycle to cycle", default=0.0)
    measured_error: NotNegative = says(
        "error of the measured H and V, one standard deviation", unit="length", default=0.0
    )
    measured_error_deg: NotNegative = says("error of the measured A, one standard deviation", default=0.0)
    load_depth: NotNegative = says(
        "the load front to back as it is carried, if it is not a core's second side; 0 is not known",
        unit="length",
        default=0.0,
    )
    note: str = says("anything worth knowing", default="")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where and how long the work is done: [place] of case.toml."""

    hours_per_shift: Positive = says(
        "hours of the shift at this work", counted_in="h", default=8.0, plausible=(0.0, 24.0), slip="minutes"
    )
    sessions_min: tuple[tuple[float, float], ...] = says(
        "spells of lifting and of light work after each, in minutes, repeated until the shift is full; "
        "empty is all shift with normal breaks",
        default=(),
    )
    recovery_edition: Literal["1994", "2021"] = says(
        "edition whose recovery rule decides what is short: 1.2 (1994, stricter) or 1.0 (2021)",
        default="1994",
    )
    temperature: float | None = says(
        "air temperature at the work place", unit="temperature", default=None, plausible=(-40.0, 60.0), slip=OTHER_SCALE
    )
    humidity_pct: Percent | None = says(
        "relative humidity at the work place", default=None, plausible=(1.0, 100.0), slip="a share instead of per cent"
    )
    wet_bulb: float | None = says(
        "natural wet-bulb temperature", unit="temperature", default=None, plausible=(0.0, 40.0), slip=OTHER_SCALE
    )
    globe: float | None = says(
        "globe temperature", unit="temperature", default=None, plausible=(0.0, 80.0), slip=OTHER_SCALE
    )
    wbgt: float | None = says(
        "WBGT as an instrument shows it, without clothing; the larger counts where wet bulb and globe are entered too",
        unit="temperature",
        default=None,
        plausible=(0.0, 50.0),
        slip=OTHER_SCALE,
    )
    sun: bool = says("in the sun", default=False)
    acclimatized: bool = says("whether the crew is used to the heat", default=False)
    clothing: str = says("clothing, by a row of the clothing table", default="work clothes (woven)")
    body_mass: Positive | None = says(
        "body mass assumed for energy estimates; empty takes 70 kg (154 lb)",
        unit="mass",
        default=None,
        plausible=(35.0, 150.0),
        slip="the other unit, kilograms or pounds",
    )
    crew: Count = says("people who share the setting of cores in a shift", counted_in="people", default=1)
    lifting_index_limit: Positive = says("index above which the plant wants a task changed", default=1.0)
    height_step: NotNegative = says(
        "step in which rack, mold and platform heights can be set; 0 takes 5 cm or 2 in", unit="length", default=0.0
    )
    steps_allowed: tuple[str, ...] = says("changes the plant could make, by name", default=())
