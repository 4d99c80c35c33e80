"""Makes the demo case, an invented iron foundry, with a fixed seed. Run: python studies/make_demo.py"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from coreset.case import Case, Correction, Element, Reading, Readings, Study
from coreset.store.folder import write
from coreset.studies.ostrander import facts

SEED = 20260
FOLDER = Path(__file__).parent / "ostrander_bend"
MACHINE_S = 28.0
"""Seconds in which the machine closes, ejects and makes the next mold halves; invented."""
FOREIGN = ("asked by the shift lead", "mold counter reset", "spill swept", "pallet truck let by")


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """How one pattern goes under one method: mean seconds and scatter by element, and what is odd about the study."""

    study: str
    pattern: str
    method: str
    operator: str
    date: str
    clock_in: str
    elements: dict[str, tuple[float, float]]
    cycles: int = 45
    timing: str = "continuous"
    memory: float = 0.0
    learning: float = 0.0
    odd: float = 0.0
    slack_s: float = 0.0
    core: str = ""
    cores_handled: int = 1
    note: str = ""


HAND = ("fetch cores", "wait for machine", "set cores", "blow off and check", "clear and signal")
MASK = ("load mask", "wait for machine", "setter stroke", "check seating and signal")
BREAKPOINTS = {
    "fetch cores": "cores in hand at the machine",
    "wait for machine": "drag stops in front of the operator",
    "set cores": "hand leaves the last core",
    "blow off and check": "air gun back on its hook",
    "clear and signal": "green button pressed",
    "load mask": "hand leaves the mask",
    "setter stroke": "mask back above the table",
    "check seating and signal": "green button pressed",
    "change core pallet": "full pallet in place",
}
MACHINE_PACED = {"wait for machine", "setter stroke"}
OCCASIONAL = "change core pallet"
PALLET_S, PALLET_EVERY = 34.0, 16
STUDIES = (
    Timed(study="HB10-H1", pattern="HB10", method="manual", operator="W07", date="2026-09-15", clock_in="06:42:10",
          elements={"fetch cores": (6.8, 0.14), "set cores": (14.2, 0.20), "blow off and check": (4.1, 0.17),
                    "clear and signal": (1.9, 0.15)}, memory=0.25, core="H"),
    Timed(study="HB10-S1", pattern="HB10", method="core setter", operator="W07", date="2026-10-06", clock_in="06:51:35",
          elements={"load mask": (10.6, 0.17), "setter stroke": (9.4, 0.02), "check seating and signal": (3.3, 0.18)},
          core="H"),
    Timed(study="VB24-H1", pattern="VB24", method="manual", operator="W12", date="2026-09-16", clock_in="07:15:00",
          elements={"fetch cores": (12.5, 0.15), "set cores": (33.0, 0.17), "blow off and check": (4.9, 0.18),
                    "clear and signal": (1.9, 0.15)}, cycles=50, odd=3.4, core="B", cores_handled=6),
    Timed(study="VB24-H2", pattern="VB24", method="manual", operator="W19", date="2026-09-17", clock_in="13:05:20",
          elements={"fetch cores": (12.1, 0.16), "set cores": (35.4, 0.18), "blow off and check": (5.2, 0.18),
                    "clear and signal": (1.9, 0.15)}, cycles=42, timing="snapback", core="B", cores_handled=6,
          note="second operator, afternoon shift"),
    Timed(study="VB24-S1", pattern="VB24", method="core setter", operator="W12", date="2026-10-07", clock_in="07:02:45",
          elements={"load mask": (21.0, 0.14), "setter stroke": (10.6, 0.02), "check seating and signal": (4.0, 0.18)},
          cycles=50, learning=0.16, core="B", cores_handled=6, note="crew new to the mask: watch the trend"),
    Timed(study="PC03-H1", pattern="PC03", method="manual", operator="W07", date="2026-09-18", clock_in="09:20:00",
          elements={"fetch cores": (3.1, 0.16), "set cores": (3.9, 0.20), "blow off and check": (2.8, 0.18),
                    "clear and signal": (1.6, 0.15)}, cycles=60, core="L"),
    Timed(study="PC03-S1", pattern="PC03", method="core setter", operator="W12", date="2026-10-08", clock_in="09:05:30",
          elements={"load mask": (5.6, 0.17), "setter stroke": (9.0, 0.02), "check seating and signal": (2.9, 0.18)},
          cycles=60, core="L"),
    Timed(study="GC07-H1", pattern="GC07", method="manual", operator="W19", date="2026-09-22", clock_in="10:40:00",
          elements={"fetch cores": (9.0, 0.18), "set cores": (22.5, 0.22), "blow off and check": (4.6, 0.20),
                    "clear and signal": (2.0, 0.15)}, cycles=40, slack_s=62.0, core="G", cores_handled=3,
          note="watch left running while the run ended: time balance open"),
    Timed(study="GC07-S1", pattern="GC07", method="core setter", operator="W19", date="2026-10-09", clock_in="10:30:00",
          elements={"load mask": (15.5, 0.18), "setter stroke": (10.2, 0.02), "check seating and signal": (3.6, 0.18)},
          cycles=40, core="G", cores_handled=3),
    Timed(study="MF15-H1", pattern="MF15", method="manual", operator="W12", date="2026-09-23", clock_in="08:10:00",
          elements={"fetch cores": (7.4, 0.15), "set cores": (13.8, 0.18), "blow off and check": (4.0, 0.18),
                    "clear and signal": (1.8, 0.15)}, cycles=45, core="M", cores_handled=2),
)  # fmt: skip


def skewed(mean: float, cv: float, noise: float) -> float:
    """A skewed time: lognormal of that mean and coefficient of variation, `noise` a standard normal."""
    sigma = math.sqrt(math.log(1.0 + cv * cv))
    return mean * math.exp(sigma * noise - sigma * sigma / 2.0)


def rating(noise: float) -> float:
    """What an observer calls the pace: quick times are rated high, in steps of 5 on the 100-133 scale."""
    return 5.0 * round((101.0 - 5.0 * noise) / 5.0)


def readings_of(timed: Timed, rng: np.random.Generator) -> tuple[Readings, float]:
    """Readings of one study and the clock at its end."""
    order = HAND if timed.method == "manual" else MASK
    clock, machine_ready, before = 0.0, MACHINE_S * 0.6, 0.0
    rows: list[Reading] = []
    missed = set(rng.choice(np.arange(4, timed.cycles), size=2, replace=False).tolist())
    disturbed = set(rng.choice(np.arange(3, timed.cycles), size=3, replace=False).tolist())

    def take(cycle: int, element: str, lasts: float, rated: float, mark: str = "", note: str = "") -> None:
        nonlocal clock
        start, clock = clock, clock + lasts
        shown = clock if timed.timing == "continuous" else clock - start
        reading = math.nan if mark == "missed" else round(shown, 2)
        rows.append(Reading(len(rows) + 1, cycle, element, reading, rated, mark, note))

    for cycle in range(1, timed.cycles + 1):
        mood = timed.memory * before + math.sqrt(1.0 - timed.memory**2) * rng.standard_normal()
        before, slower = mood, 1.0 + timed.learning * 3.0 * cycle**-0.55
        for element in order:
            if element == "wait for machine":
                take(cycle, element, max(0.0, machine_ready - clock) + 0.1, math.nan)
                continue
            mean, cv = timed.elements[element]
            noise = 0.7 * mood + 0.714 * rng.standard_normal()
            lasts = skewed(mean, cv, noise) * (1.0 if element in MACHINE_PACED else slower)
            odd = timed.odd and cycle == 31 and element == "set cores"
            lasts *= timed.odd if odd else 1.0
            mark = "missed" if cycle in missed and element == order[2] and timed.timing == "continuous" else ""
            note = "core stuck in the print, taken out and set again" if odd else ""
            take(cycle, element, lasts, math.nan if element in MACHINE_PACED else rating(noise), mark, note)
        machine_ready = clock + MACHINE_S
        if cycle in disturbed:
            words = FOREIGN[int(rng.integers(len(FOREIGN)))]
            take(cycle, "foreign", float(rng.uniform(8.0, 40.0)), math.nan, "foreign", words)
        if cycle % PALLET_EVERY == PALLET_EVERY - 3:
            take(cycle, OCCASIONAL, skewed(PALLET_S, 0.2, rng.standard_normal()), 100.0)
    return Readings.of(rows), clock


def elements_of(timed: Timed) -> tuple[Element, ...]:
    """Elements of one study, the occasional one last."""
    order = HAND if timed.method == "manual" else MASK
    handling = {"fetch cores", "set cores", "load mask"}
    return (
        *(
            Element(
                name=name,
                kind="machine" if name in MACHINE_PACED else "manual",
                breakpoint=BREAKPOINTS[name],
                core=timed.core if name in handling else "",
                cores_handled=float(timed.cores_handled) if name in handling else 0.0,
                distance_m=2.0 if name in {"fetch cores", "load mask"} else 0.0,
            )
            for name in order
        ),
        Element(name=OCCASIONAL, breakpoint=BREAKPOINTS[OCCASIONAL], occasional=True, per_mold=1 / PALLET_EVERY),
    )


def wall_clock(start: str, seconds: float) -> str:
    """Wall clock so many seconds after a start.

    Examples
    --------
    >>> wall_clock("06:59:30", 95.2)
    '07:01:05'
    """
    hours, minutes, rest = (int(part) for part in start.split(":"))
    total = hours * 3600 + minutes * 60 + rest + round(seconds)
    return f"{total // 3600:02d}:{total // 60 % 60:02d}:{total % 60:02d}"


def study_of(timed: Timed, rng: np.random.Generator) -> Study:
    """One study with its header."""
    readings, clock = readings_of(timed, rng)
    before, after = float(rng.integers(15, 60)), float(rng.integers(10, 40))
    odd = next((r.seq for r in readings if r.note.startswith("core stuck")), None)
    corrections = ()
    if odd is not None:
        why = "core stuck in the print: repaired print since, seen by the shift lead"
        corrections = (Correction(seq=odd, action="exclude", who="E02", when="2026-09-16T15:10:00", why=why),)
    return Study(
        study=timed.study,
        method=timed.method,
        pattern=timed.pattern,
        observer="E02",
        operator=timed.operator,
        timing=timed.timing,
        date=timed.date,
        shift="early" if timed.clock_in < "13" else "late",
        clock_in=timed.clock_in,
        clock_out=wall_clock(timed.clock_in, before + clock + after + timed.slack_s),
        elapsed_before_s=before,
        elapsed_after_s=after,
        rating_scale="100-133",
        allowances="by hand" if timed.method == "manual" else "with mask",
        consent=True,
        department="molding, core setting at line 2",
        tooling="horizontally parted line 2" + ("" if timed.method == "manual" else ", setter on trial"),
        layout="core rack left of the operator" if timed.method == "manual" else "mask table left, rack behind it",
        conditions="22 to 25 C, intermittent loud noise, dry concrete floor",
        experience="3 years or more at the line",
        watch="hundredths of a second, checked against the plant clock before the shift",
        approver="M01",
        note=timed.note,
        elements=elements_of(timed),
        readings=readings,
        corrections=corrections,
    )


def demo() -> Case:
    """The demo case; the same value every time."""
    seeds = np.random.SeedSequence(SEED).spawn(len(STUDIES))
    studies = tuple(study_of(t, np.random.default_rng(s)) for t, s in zip(STUDIES, seeds, strict=True))
    return facts(tuple(sorted(studies, key=lambda study: study.study)), machine_s=MACHINE_S)


if __name__ == "__main__":
    write(demo(), FOLDER)
    print(f"written: {FOLDER.name}")
