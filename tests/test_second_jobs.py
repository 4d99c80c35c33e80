"""Whole jobs and rotations of mixed kinds against the second program: 200 of a fixed seed, 1,000 in the slow suite."""

import math
import random
from dataclasses import replace

import pytest
import second_lifting
from handling_cases import case, lift, standard

from coreset.case import Pattern, Place, Range
from coreset.lifting.job import index_at, job_of
from coreset.lifting.job_status import job_statuses
from coreset.lifting.pace_and_mix import rotation
from coreset.lifting.screen import screen
from coreset.lifting.whole_job import with_jobs

INCH, POUND = 0.4, 2.2


def drawn(rng, units, counts):
    """Lifts of one job, as many as one of the counts: paced by the mold or by themselves."""
    length, mass = (INCH, POUND) if units == "us" else (1.0, 1.0)
    count = rng.choice(counts)

    def one():
        usual = round(rng.uniform(1, 18) * mass, 1)
        return {
            **{f"horizontal_{end}": round(rng.uniform(25, 64) * length, 1) for end in ("origin", "destination")},
            **{f"vertical_{end}": round(rng.uniform(0, 176) * length, 1) for end in ("origin", "destination")},
            **{f"asymmetry_{end}": rng.choice([0, 0, 30, 60, 90]) for end in ("origin", "destination")},
            "mass": usual,
            "largest": round(usual * rng.choice([1.0, 1.0, 1.5]), 1),
            "per_mold": rng.choice([0.2, 0.5, 1.0, 1.5]) / count,
            "own": rng.choice([0, 0, 0, 0.4, 1.7]),
            "duration": rng.choice([None, None, None, "short", "moderate"]),
            "coupling": rng.choice(["good", "fair", "poor"]),
            "control": rng.random() < 0.7,
        }

    return [one() for _ in range(count)], rng.choice([17.3, 29.9, 61.7, 143.1])


def of_place(rng):
    """A shift, in spells or not."""
    spells = [(rng.randint(1, 90), rng.randint(0, 90)) for _ in range(rng.choice([0, 0, 1, 2]))]
    return {"hours": rng.choice([0.9, 1.7, 4, 8]), "spells": spells, "edition": rng.choice(["1994", "2021"])}


def of_case(units, jobs, place):
    """Jobs (lifts, molds a year) as a case of the program, a pattern each."""
    rows = [
        lift(
            task=f"t{number}.{pattern}",
            pattern=f"P{pattern}",
            core="",
            mass=one["mass"],
            mass_max=one["largest"],
            lifts_per_mold=one["per_mold"],
            frequency_per_min=one["own"],
            duration=one["duration"],
            coupling=one["coupling"],
            control_at_destination=one["control"],
            **{name: one[name] for name in one if name.startswith(("horizontal", "vertical"))},
            **{f"{name}_deg": one[name] for name in one if name.startswith("asymmetry")},
        )
        for pattern, (lifts, _) in enumerate(jobs, start=1)
        for number, one in enumerate(lifts)
    ]
    shift = Place(
        hours_per_shift=place["hours"],
        sessions_min=tuple((float(work), float(light)) for work, light in place["spells"]),
        recovery_edition=place["edition"],
    )
    patterns = tuple(
        Pattern(pattern=f"P{number}", molds_per_year=Range.exactly(molds), runs_per_year=1)
        for number, (_, molds) in enumerate(jobs, start=1)
    )
    return replace(case(*rows, place=shift, units=units), patterns=patterns, baseline="manual", candidate="manual")


def _rotations_agree(rng, units, place):
    """Whether one rotation of two to four patterns has an index, the same in both programs."""
    slots = [(*drawn(rng, units, [1, 1, 2, 3]), rng.choice([300, 2_000, 9_000])) for _ in range(rng.randint(2, 4))]
    expected = second_lifting.rotation(slots, units, spells=place["spells"], hours=place["hours"])
    a_case = of_case(units, [(lifts, molds) for lifts, _, molds in slots], place)
    timed = [standard(seconds, pattern=f"P{number}") for number, (_, seconds, _) in enumerate(slots, start=1)]
    found = rotation(a_case, timed, method="manual").index
    assert (expected is None) == math.isnan(found)
    assert expected is None or found == pytest.approx(float(expected), rel=1e-9)
    return expected is not None


@pytest.mark.parametrize("jobs", [200, pytest.param(1000, marks=pytest.mark.slow)])
def test_whole_jobs_agree_with_a_second_program(jobs):
    """[waters1994], [waters2016], [waters2007] (from memory): kind and index of LI, CLI, VLI and SLI.

    Each status is the worst of index and lifts.
    """
    rng, counts, answered = random.Random(22), dict.fromkeys(("LI", "CLI", "VLI", "SLI", "none"), 0), 0
    for number in range(jobs):
        units, place = rng.choice(["metric", "metric", "us"]), of_place(rng)
        if number % 4 == 3:
            counts["SLI" if _rotations_agree(rng, units, place) else "none"] += 1
            continue
        lifts, seconds = drawn(rng, units, [1, 1, 2, 3, 4, 6, 10, 11, 14])
        kind, expected = second_lifting.job(
            lifts, units, seconds=seconds, spells=place["spells"], hours=place["hours"], edition=place["edition"]
        )
        a_case = of_case(units, [(lifts, 20_000)], place)
        found = index_at(job_of(a_case, pattern="P1", method="manual"), 3600 / seconds)
        if expected is None:
            assert found.index is None
            counts["none"] += 1
            continue
        counts[kind], answered = counts[kind] + 1, answered + 1
        assert found.kind == kind and found.index == pytest.approx(float(expected), rel=1e-9)
        if answered % 10 == 0:
            timed = [standard(seconds)]
            (status,) = job_statuses(a_case, timed, with_jobs(a_case, timed, screen(a_case, timed)))
            assert status.governing >= float(expected) * (1 - 1e-9)
            assert (status.status in {"above_1", "above_3", "beyond"}) == (status.governing > 1)
    assert min(counts.values()) >= jobs / 100 and counts["none"] < jobs * 2 / 3, counts
