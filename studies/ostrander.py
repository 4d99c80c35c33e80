"""What is invented about Ostrander Bend besides its readings: patterns, cores, lifts, methods, line, setter, prices."""

from __future__ import annotations

from coreset.case import (
    AllowanceLine,
    Allowances,
    Case,
    Core,
    Lift,
    Line,
    Method,
    Money,
    Pattern,
    Place,
    Range,
    Setter,
    Step,
    Stop,
    Study,
)
from coreset.case.stops import FORM_OF_STOPS

INVENTED = "invented for teaching"


def between(low: float, likely: float, high: float) -> Range:
    """A range of the demo."""
    return Range(low=low, likely=likely, high=high, source=INVENTED)


PATTERNS = (
    Pattern(pattern="HB10", title="bearing housing, one heavy core", molds_per_year=between(34_000, 42_000, 50_000),
            runs_per_year=44, castings_per_mold=1, margin_per_casting=between(7.0, 9.0, 11.0), section=28.0,
            cooling_min=62.0, poured_mass=46.0, cost_per_scrapped_casting=31.0),
    Pattern(pattern="VB24", title="valve body, six awkward cores", molds_per_year=between(42_000, 54_000, 62_000),
            runs_per_year=48, castings_per_mold=2, margin_per_casting=between(4.0, 5.5, 7.0),
            extra_molds_per_year=between(500, 1_500, 3_000), section=14.0, cooling_min=48.0, poured_mass=34.0,
            cost_per_scrapped_casting=19.0),
    Pattern(pattern="PC03", title="pump cover, one light core", molds_per_year=between(52_000, 60_000, 68_000),
            runs_per_year=50, castings_per_mold=4, margin_per_casting=between(1.0, 1.4, 1.9), section=9.0,
            cooling_min=38.0, poured_mass=22.0, cost_per_scrapped_casting=6.0),
    Pattern(pattern="GC07", title="gear case, jobbing, short runs", molds_per_year=between(900, 1_400, 2_000),
            runs_per_year=35, castings_per_mold=1, margin_per_casting=between(14.0, 18.0, 24.0), section=22.0,
            cooling_min=70.0, poured_mass=52.0, cost_per_scrapped_casting=58.0),
    Pattern(pattern="MF15", title="manifold, two cores", molds_per_year=between(14_000, 18_000, 22_000),
            runs_per_year=36, castings_per_mold=2, margin_per_casting=between(3.0, 4.0, 5.0), section=16.0,
            cooling_min=50.0, poured_mass=30.0, cost_per_scrapped_casting=17.0),
)  # fmt: skip
CORES = (
    Core(pattern="HB10", core="H", per_mold=1, mass=12.4, length=420, width=260, height=180, print_area=310,
         leak_path=70, permeability_afs=90, print_taper_deg=3.0, print_clearance=0.5),
    Core(pattern="VB24", core="B", per_mold=4, mass=3.2, length=240, width=110, height=90, print_area=105,
         leak_path=40, permeability_afs=120, print_taper_deg=2.5, print_clearance=0.4),
    Core(pattern="VB24", core="P", per_mold=2, mass=4.4, length=310, width=120, height=100, print_area=140,
         leak_path=45, permeability_afs=120, print_taper_deg=2.5, print_clearance=0.4),
    Core(pattern="PC03", core="L", per_mold=1, mass=0.45, length=90, width=60, height=50, print_area=22,
         leak_path=25, permeability_afs=160, print_taper_deg=3.0, print_clearance=0.4),
    Core(pattern="GC07", core="G", per_mold=3, mass=4.9, length=330, width=180, height=120, print_area=120,
         leak_path=55, permeability_afs=110, print_taper_deg=1.0, print_clearance=0.2,
         note="prints drawn for setting by hand: taper and clearance to be opened for a mask"),
    Core(pattern="MF15", core="M", per_mold=2, mass=3.4, length=280, width=130, height=90, print_area=80,
         leak_path=40, permeability_afs=130, print_taper_deg=2.5, print_clearance=0.4),
)  # fmt: skip
RACK = {"horizontal_origin": 42.0, "vertical_origin": 85.0, "asymmetry_origin_deg": 30.0}
DRAG = {"horizontal_destination": 58.0, "vertical_destination": 68.0}
MASK = {"horizontal_destination": 38.0, "vertical_destination": 92.0}
SPREAD = {"horizontal_sd": 2.5, "vertical_sd": 2.0, "measured_error": 1.5}
BY_CORE = (("HB10", "H", "housing core", 1), ("VB24", "B", "bore core", 4), ("VB24", "P", "port core", 2),
           ("GC07", "G", "gear case core", 3), ("MF15", "M", "manifold core", 2))  # fmt: skip


REDESIGNED = "manual, redesigned"
"""Hand setting with the cheapest redesign of its lifts; not timed, so calculated as fast as today."""
REDESIGNED_RACK = {"horizontal_origin": 30.0, "vertical_origin": 85.0, "asymmetry_origin_deg": 0.0}
REDESIGNED_DRAG = {"horizontal_destination": 46.0, "vertical_destination": 74.0}
TODAYS_PACE = {"HB10": 1.2, "VB24": 1.6, "GC07": 2.9, "MF15": 2.3}


def mended_lifts() -> tuple[Lift, ...]:
    """The lifts by hand after their redesign, at the pace of today."""
    return tuple(
        Lift(task=f"{words} into drag, redesigned", method=REDESIGNED, pattern=pattern, core=core,
             lifts_per_mold=number,
             frequency_per_min=TODAYS_PACE[pattern] * (2 if core == "B" else 1),
             frequency_reason="pace as timed by hand today", hoist=core == "H", **SPREAD,
             **REDESIGNED_RACK, **REDESIGNED_DRAG)
        for pattern, core, words, number in BY_CORE
    )  # fmt: skip


def lifts() -> tuple[Lift, ...]:
    """Every core by hand and into the mask, and what is carried once a run."""
    found = []
    for pattern, core, words, number in BY_CORE:
        shared = {"pattern": pattern, "core": core, "lifts_per_mold": number, **RACK, **SPREAD}
        drag = DRAG | ({"horizontal_destination": 66.0} if pattern == "GC07" else {})
        found.append(Lift(task=f"{words} into drag", method="manual", **shared, **drag))
        if pattern != "MF15":
            found.append(Lift(task=f"{words} into mask", method="core setter", **shared, **MASK))
    light = {"pattern": "PC03", "core": "L", "lifts_per_mold": 1, "hands": 1, "effort_borg": 2.0, "exertion_s": 1.5,
             "wrist_deg": 20.0, **RACK}  # fmt: skip
    found.append(Lift(task="cover core into drag", method="manual", **light, **DRAG))
    found.append(Lift(task="cover core into mask", method="core setter", **light, **MASK))
    for pattern, mass in (("HB10", 16.0), ("VB24", 18.5), ("PC03", 9.0), ("GC07", 17.0)):
        found.append(
            Lift(task=f"mask of {pattern} onto table", method="core setter", pattern=pattern, mass=mass,
                 lifts_per_run=2,
                 coupling="good", horizontal_origin=40.0, vertical_origin=70.0, horizontal_destination=45.0,
                 vertical_destination=92.0)
        )  # fmt: skip
    for pattern, core in (("HB10", "H"), ("VB24", "B")):
        found.append(
            Lift(task=f"pallet of {pattern} to rack", method="manual", pattern=pattern, mass=180.0, lifts_per_run=6,
                 hoist=True, horizontal_origin=50.0, vertical_origin=90.0, horizontal_destination=50.0,
                 vertical_destination=90.0, note=f"core {core}, by hoist")
        )  # fmt: skip
    return (*found, *mended_lifts())


def methods(machine_s: float) -> tuple[Method, ...]:
    """Hand setting as today and setting by core setter, step by step."""
    source = "machine's own cycle counter, invented"
    eject, make = 6.0, machine_s - 6.0
    manual = (
        Step(name="make mold halves", by="machine", constant_s=make, source=source),
        Step(name="close and eject", by="machine", constant_s=eject, source=source, after=("clear and signal",)),
        Step(name="fetch cores", by="operator", element="fetch cores"),
        Step(name="set cores", by="operator", element="set cores", after=("make mold halves",)),
        Step(name="blow off and check", by="operator", element="blow off and check"),
        Step(name="clear and signal", by="operator", element="clear and signal"),
    )
    assisted = (
        Step(name="make mold halves", by="machine", constant_s=make, source=source),
        Step(name="close and eject", by="machine", constant_s=eject, source=source, after=("check seating",)),
        Step(name="load mask", by="operator", element="load mask"),
        Step(name="turn and lower", by="setter", element="setter stroke", after=("make mold halves", "load mask")),
        Step(name="check seating", by="operator", element="check seating and signal", after=("turn and lower",)),
    )
    return (
        Method(method="manual", title="cores set by hand in the open drag", steps=manual),
        Method(method="core setter", title="cores loaded into a mask, lowered by the setter", mechanised=True,
               steps=assisted),
        Method(method=REDESIGNED, title="by hand; rack raised and turned, hoist arm for the heavy core",
               step_cost=16_500.0,
               step_cost_source="workshop estimate, invented", steps=()),
    )  # fmt: skip


def allowance(name: str, *, position: str) -> Allowances:
    """Relaxation allowance of one way of working."""
    lines = (
        AllowanceLine(cause="personal"),
        AllowanceLine(cause="basic fatigue"),
        AllowanceLine(cause="standing", condition="standing work"),
        AllowanceLine(cause="abnormal position", condition=position),
        AllowanceLine(cause="noise level", condition="intermittent, loud"),
        AllowanceLine(cause="monotony", condition="medium"),
    )
    return Allowances(name=name, basis="normal", table="ilo1957", contingency_pct=2.0, lines=lines)


MONEY = Money(
    setter_price=between(165_000, 185_000, 225_000),
    installation=between(20_000, 28_000, 42_000),
    training=between(3_000, 5_000, 9_000),
    mask_cost=between(6_500, 8_500, 12_000),
    mask_life_molds=180_000,
    mask_repair_per_year=between(400, 700, 1_400),
    maintenance_per_year=between(4_500, 7_500, 13_000),
    wage_per_h=between(22.0, 23.5, 25.5),
    employer_factor=Range(low=1.38, likely=1.4235, high=1.47, source="bls_ecec2025; plant's own to be entered"),
    line_crew=Range.exactly(2.0),
    hours_saved_paid=Range.exactly(0.8),
    overtime_limit_h_per_year=800.0,
    air_per_m3=between(0.010, 0.014, 0.020),
    electricity_per_kwh=between(0.07, 0.081, 0.10),
    floor_space_per_year=between(600, 900, 1_300),
    residual=between(5_000, 15_000, 30_000),
    years=10,
    discount_rate=0.09,
    wage_inflation=0.03,
    energy_inflation=0.025,
    price_inflation=0.02,
    payback_limit_years=5.0,
    budget=300_000,
    mask_places=12,
    ramp_up_molds=3_000,
    ramp_up_start=1.4,
    study_cost_per_cycle=4.0,
    volume_quote_cost=400.0,
    vacuum_trial_cost=2_500.0,
)
LINE = Line(
    hours_per_shift=8.0, shifts_per_day=2.0, days_per_year=240.0, other_stops_pct=19.5,
    other_stops_source="line log of 12 weeks, invented", changeover_min=9.0, mold_positions=6, pouring_s=15.0,
    pouring_mode="index", index_s=8.0, cooling_places=140, shakeout_s=10.0,
    stops=(
        Stop(cause="pattern plate cleaned", station="molding", every_min=55.0, lasts_min=3.0, source=INVENTED),
        Stop(cause="waiting for metal", station="pouring", every_min=70.0, lasts_min=4.0, source=INVENTED),
    ),
)  # fmt: skip
SETTER = Setter(
    mask_change_min=7.0, downtime_share=0.03, mask_length=620.0, mask_width=480.0, turn_acceleration_m_s2=2.0,
    vacuum_max_kpa=55.0, vacuum_flow_l_min=1_400.0, generators=4, safety_factor=2.0, air_l_per_cycle=240.0,
    power_kw=3.0, claimed_cycle_s=38.0, source="offer of 2026-08, invented",
)  # fmt: skip
PLACE = Place(hours_per_shift=7.5, temperature=24.0, humidity_pct=45.0, acclimatized=True, crew=1)


def facts(studies: tuple[Study, ...], *, machine_s: float) -> Case:
    """The case around its studies."""
    return Case(
        title="A core setter for line 2?",
        form=FORM_OF_STOPS,
        units="metric",
        currency="USD",
        date="2026-11-02",
        plant="OB1 Ostrander Bend",
        invented=True,
        baseline="manual",
        candidate="core setter",
        seed=7,
        place=PLACE,
        line=LINE,
        setter=SETTER,
        money=MONEY,
        allowances=(
            allowance("by hand", position="awkward (bending)"),
            allowance("with mask", position="slightly awkward"),
        ),
        methods=methods(machine_s),
        patterns=PATTERNS,
        cores=CORES,
        lifts=lifts(),
        studies=studies,
    )
