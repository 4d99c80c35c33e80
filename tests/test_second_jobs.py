"""Whole jobs of mixed kinds against the second program: 200 drawn with a fixed seed, 1,000 in the slow suite."""

import random
from dataclasses import replace

import pytest
import second_lifting
from handling_cases import case, lift, standard

from coreset.case import Place
from coreset.lifting.job import index_at, job_of
from coreset.lifting.job_status import job_statuses
from coreset.lifting.screen import screen
from coreset.lifting.whole_job import with_jobs

INCH, POUND = 0.4, 2.2


def drawn(rng):
    """One job: 1 to 14 lifts, in either unit set, paced by the mold or by themselves, in spells or all shift."""
    units = rng.choice(["metric", "metric", "us"])
    length, mass = (INCH, POUND) if units == "us" else (1.0, 1.0)
    count = rng.choice([1, 1, 2, 3, 4, 6, 10, 11, 14])

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

    spells = [(rng.randint(1, 90), rng.randint(0, 90)) for _ in range(rng.choice([0, 0, 1, 2]))]
    place = {"hours": rng.choice([0.9, 1.7, 4, 8]), "spells": spells, "edition": rng.choice(["1994", "2021"])}
    return units, [one() for _ in range(count)], place, rng.choice([17.3, 29.9, 61.7, 143.1])


def of_case(units, lifts, place, seconds):
    """The same job as a case of the program."""
    rows = [
        lift(
            task=f"t{number}",
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
        for number, one in enumerate(lifts)
    ]
    shift = Place(
        hours_per_shift=place["hours"],
        sessions_min=tuple((float(work), float(light)) for work, light in place["spells"]),
        recovery_edition=place["edition"],
    )
    return replace(case(*rows, place=shift, units=units), baseline="manual", candidate="manual")


@pytest.mark.parametrize("jobs", [200, pytest.param(1000, marks=pytest.mark.slow)])
def test_whole_jobs_agree_with_a_second_program(jobs):
    """[waters1994], [waters2016]: kind and index of LI, CLI and VLI; each status is the worst of index and lifts."""
    rng, kinds, answered = random.Random(22), set(), 0
    for _ in range(jobs):
        units, lifts, place, seconds = drawn(rng)
        kind, expected = second_lifting.job(
            lifts, units, seconds=seconds, spells=place["spells"], hours=place["hours"], edition=place["edition"]
        )
        a_case = of_case(units, lifts, place, seconds)
        found = index_at(job_of(a_case, pattern="P1", method="manual"), 3600 / seconds)
        if expected is None:
            assert found.index is None
            continue
        kinds, answered = kinds | {kind}, answered + 1
        assert found.kind == kind and found.index == pytest.approx(float(expected), rel=1e-9)
        if answered % 10 == 0:
            timed = [standard(seconds)]
            (status,) = job_statuses(a_case, timed, with_jobs(a_case, timed, screen(a_case, timed)))
            assert status.governing >= float(expected) * (1 - 1e-9)
            assert (status.status in {"above_1", "above_3", "beyond"}) == (status.governing > 1)
    assert kinds == {"LI", "CLI", "VLI"} and answered > jobs / 3
