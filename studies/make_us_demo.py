"""Makes a second, smaller invented case in pounds and inches, with a fixed seed. Run: python studies/make_us_demo.py"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from coreset.case import Case, Core, Lift, Line, Money, Pattern, Place, Range, Setter, Stop, Study
from coreset.case.stops import FORM_OF_STOPS
from coreset.store.folder import write
from coreset.studies.make_demo import Timed, study_of
from coreset.studies.ostrander import INVENTED, allowance, between, methods

SEED = 31
FOLDER = Path(__file__).parent / "tamarack_flat"
MACHINE_S = 30.0
"""Seconds in which the machine closes, ejects and makes the next mold halves; invented."""
HAND = {"blow off and check": (4.4, 0.18), "clear and signal": (2.0, 0.15)}
STUDIES = (
    Timed(study="WH2-H1", pattern="WH2", method="manual", operator="T04", date="2026-08-18", clock_in="06:35:00",
          elements={"fetch cores": (7.6, 0.15), "set cores": (19.5, 0.20), **HAND}, core="W", note="core by two grips"),
    Timed(study="WH2-S1", pattern="WH2", method="core setter", operator="T04", date="2026-09-02", clock_in="06:50:20",
          elements={"load mask": (11.8, 0.17), "setter stroke": (10.1, 0.02), "check seating and signal": (3.5, 0.18)},
          core="W"),
    Timed(study="EL6-H1", pattern="EL6", method="manual", operator="T09", date="2026-08-19", clock_in="13:10:40",
          elements={"fetch cores": (9.9, 0.16), "set cores": (25.0, 0.18), **HAND}, cycles=48, core="E",
          cores_handled=4),
    Timed(study="EL6-S1", pattern="EL6", method="core setter", operator="T09", date="2026-09-03", clock_in="13:02:10",
          elements={"load mask": (16.4, 0.16), "setter stroke": (10.4, 0.02), "check seating and signal": (3.8, 0.18)},
          cycles=48, core="E", cores_handled=4),
)  # fmt: skip
PATTERNS = (
    Pattern(pattern="WH2", title="wheel hub, one heavy core", molds_per_year=between(33_000, 40_000, 45_000),
            runs_per_year=40, castings_per_mold=1, margin_per_casting=between(8.0, 10.0, 12.0), section=1.1,
            cooling_min=60, poured_mass=96, cost_per_scrapped_casting=33),
    Pattern(pattern="EL6", title="elbow, four cores", molds_per_year=between(26_000, 32_000, 37_000),
            runs_per_year=32, castings_per_mold=2, margin_per_casting=between(3.5, 5.0, 6.5), section=0.6,
            cooling_min=45, poured_mass=70, cost_per_scrapped_casting=18),
)  # fmt: skip
CORES = (
    Core(pattern="WH2", core="W", mass=26.5, length=16.5, width=10.5, height=7.0, print_area=46, leak_path=2.7,
         permeability_afs=95, print_taper_deg=3, print_clearance=0.02),
    Core(pattern="EL6", core="E", per_mold=4, mass=6.2, length=10.5, width=4.3, height=3.6, print_area=11,
         leak_path=1.6, permeability_afs=125, print_taper_deg=2.5, print_clearance=0.016),
)  # fmt: skip
RACK = {"horizontal_origin": 16.0, "vertical_origin": 33.0, "asymmetry_origin_deg": 30.0, "horizontal_sd": 1.0,
        "vertical_sd": 0.8, "measured_error": 0.5}  # fmt: skip
DRAG = {"horizontal_destination": 23.0, "vertical_destination": 27.0}
MASK = {"horizontal_destination": 15.0, "vertical_destination": 36.0}


def lifts() -> tuple[Lift, ...]:
    """Both cores by hand and into the mask, and the masks themselves."""
    found = []
    for pattern, core, words, number in (("WH2", "W", "hub core", 1), ("EL6", "E", "elbow core", 4)):
        shared = {"pattern": pattern, "core": core, "lifts_per_mold": number, **RACK}
        found.append(Lift(task=f"{words} into drag", method="manual", **shared, **DRAG))
        found.append(Lift(task=f"{words} into mask", method="core setter", **shared, **MASK))
    for pattern, mass in (("WH2", 36.0), ("EL6", 31.0)):
        found.append(
            Lift(task=f"mask of {pattern} onto table", method="core setter", pattern=pattern, mass=mass,
                 lifts_per_run=2,
                 coupling="good", horizontal_origin=16.0, vertical_origin=28.0, horizontal_destination=18.0,
                 vertical_destination=36.0)
        )  # fmt: skip
    return tuple(found)


MONEY = Money(
    setter_price=between(160_000, 178_000, 205_000),
    installation=between(18_000, 25_000, 38_000),
    training=between(3_000, 4_500, 8_000),
    mask_cost=between(6_000, 8_000, 11_000),
    mask_repair_per_year=between(400, 600, 1_200),
    maintenance_per_year=between(5_000, 7_000, 10_000),
    wage_per_h=between(21.0, 22.5, 25.0),
    employer_factor=Range(low=1.38, likely=1.4235, high=1.47, source="bls_ecec2025; plant's own to be entered"),
    line_crew=Range.exactly(3.0),
    hours_saved_paid=Range.exactly(0.8),
    overtime_limit_h_per_year=400,
    air_per_m3=between(0.010, 0.014, 0.020),
    electricity_per_kwh=between(0.07, 0.081, 0.10),
    residual=between(5_000, 12_000, 25_000),
    discount_rate=0.1,
    wage_inflation=0.03,
    tax_rate=0.21,
    depreciation="macrs7",
)
LINE = Line(
    shifts_per_day=2,
    other_stops_pct=23,
    other_stops_source="line log of 8 weeks, invented",
    changeover_min=10,
    mold_positions=5,
    pouring_s=16,
    index_s=8,
    cooling_places=110,
    shakeout_s=11,
    stops=(Stop(cause="sand short", station="molding", every_min=60, lasts_min=3, source=INVENTED),),
)
SETTER = Setter(
    mask_change_min=8, downtime_share=0.03, mask_length=24, mask_width=19, vacuum_max_kpa=55, vacuum_flow_l_min=900,
    generators=3, air_l_per_cycle=150, power_kw=3, claimed_cycle_s=40, source="offer of 2026-07, invented",
)  # fmt: skip


def studies() -> tuple[Study, ...]:
    """The studies in the order of their codes."""
    seeds = np.random.SeedSequence(SEED).spawn(len(STUDIES))
    made = [study_of(timed, np.random.default_rng(seed)) for timed, seed in zip(STUDIES, seeds, strict=True)]
    return tuple(sorted(made, key=lambda study: study.study))


def demo() -> Case:
    """The second case; the same value every time."""
    return Case(
        title="A core setter for the wheel hub line?",
        form=FORM_OF_STOPS,
        units="us",
        currency="USD",
        date="2026-10-12",
        plant="TF2 Tamarack Flat",
        invented=True,
        seed=11,
        place=Place(hours_per_shift=7.5),
        line=LINE,
        setter=SETTER,
        money=MONEY,
        allowances=(
            allowance("by hand", position="awkward (bending)"),
            allowance("with mask", position="slightly awkward"),
        ),
        methods=tuple(one for one in methods(MACHINE_S) if one.method in ("manual", "core setter")),
        patterns=PATTERNS,
        cores=CORES,
        lifts=lifts(),
        studies=studies(),
    )


if __name__ == "__main__":
    write(demo(), FOLDER)
    print(f"written: {FOLDER.name}")
