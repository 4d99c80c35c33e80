"""[hse_pushpull]: guideline figures for pushing and pulling, as on the publisher's page; the lower column counts."""

import json
from dataclasses import replace

import pytest
from handling_cases import case, lift, standard
from printed import rows
from test_handling_lift import run

from coreset.bodywork.applicable_method import fittings
from coreset.errors import StudyError
from coreset.lifting.job_status import job_statuses
from coreset.lifting.pushing import pushed
from coreset.lifting.report.exposure import fitting_rows
from coreset.lifting.report.job_status import status_words
from coreset.lifting.screen import screen

LIFT = (
    "--mass",
    9,
    "--horizontal",
    40,
    "--vertical",
    90,
    "--angle",
    0,
    "--no-control",
    "--travel",
    20,
    "--frequency",
    2,
)
WITHIN = {"push_start": 150.0, "push_keep": 70.0, "push_height": 100.0, "push_distance": 20.0}
"""On every figure: nothing is exceeded."""
US = {"push_start": 150 / 4.4482216152605, "push_keep": 70 / 4.4482216152605, "push_height": 100 / 2.54}
US |= {"push_distance": 20 / 0.3048}


def why(units="metric", **what):
    """Why a specialist is needed."""
    return pushed(lift(**(WITHIN if units == "metric" else US) | what), units=units).why


@pytest.mark.rules("PUSH-figures", "PUSH-lower")
@pytest.mark.parametrize("row", rows("hse_pushpull/guideline"))
def test_guideline_figures(row):
    """Start or stop 200 N men, 150 N women; keep moving 100 and 70 N: met, and a newton more exceeds it."""
    assert (int(row.men_n), int(row.women_n)) == {"start": (200, 150), "keep": (100, 70)}[row.what]
    name = f"push_{row.what}"
    assert why() == why("us") == ()
    assert why(**{name: float(row.women_n) + 1}) == (row.what,)
    assert why("us", **{name: (float(row.women_n) + 1) / 4.4482216152605}) == (row.what,)


@pytest.mark.rules("PUSH-conditions", "PUSH-height")
@pytest.mark.parametrize(
    ("what", "code"),
    [
        ({"push_height": 84.0}, "height"),
        ({"push_height": 121.0}, "height"),
        ({"push_distance": 20.1}, "distance"),
        ({"restricted": True}, "place"),
        ({"slippery": True}, "place"),
    ],
)
def test_what_the_figures_assume(what, code):
    """Knuckle to shoulder height, about 20 m at most, no confined space or bad floor."""
    assert why(**what) == (code,)


@pytest.mark.rules("PUSH-missing")
def test_what_was_not_measured_is_asked_for():
    """An empty field is never within: it needs a specialist as an exceeded figure does."""
    for name, code in zip(WITHIN, ("not_measured", "not_measured", "height_unknown", "distance_unknown"), strict=True):
        assert why(**{name: 0.0}) == (code,)
    assert pushed(lift(), units="metric") is None


@pytest.mark.rules("N-x-combined")
def test_a_push_never_lets_a_job_look_better():
    """A lift that is also pushed is a lower limit; a hoist pushed beyond the figures needs a specialist."""
    mask = lift(task="mask", core="", mass=60.0, hoist=True)
    light = lift(core="", mass=2.0, horizontal_destination=30.0)

    def job(*lifts):
        a_case = case(*lifts)
        found = job_statuses(a_case, [standard(60.0)], screen(a_case, [standard(60.0)]))
        return next(one for one in found if one.pattern and one.method == "manual")

    assert job(light, mask).status == "within"
    assert job(light, replace(mask, **WITHIN)).status == "within"
    hard = job(light, replace(mask, **WITHIN | {"push_start": 260.0}))
    assert status_words(hard) == "not covered: needs a specialist on pushing and pulling"
    assert job(replace(light, **WITHIN)).status == "at_least" and "pushing" in job(replace(light, **WITHIN)).at_least


def test_the_forces_are_told_with_the_figures_in_the_units_of_the_case():
    """Newtons, or pounds-force; within approves nothing, and what is beyond says why."""
    for units, values, figure in (("metric", WITHIN, "150 N"), ("us", US, "34 lbf")):
        a_case = case(lift(core="", mass=60.0, hoist=True, **values), units=units)
        screened = screen(a_case, [standard(60.0)])
        (row,) = fitting_rows(fittings(a_case, screened), screened, units)
        assert f"{figure} to start" in row["What it says"] and "approve nothing" in row["What it says"]
    one = lift(core="", mass=60.0, hoist=True, **WITHIN | {"push_keep": 90.0, "push_height": 0.0})
    a_case = case(one)
    screened = screen(a_case, [standard(60.0)])
    (row,) = fitting_rows(fittings(a_case, screened), screened, "metric")
    expected = "It needs a specialist: the force to keep it moving is above its figure, the height of the hands is not"
    assert expected in row["What it says"]


def test_the_command_judges_a_push_alone_or_beside_a_lift():
    """[hse_pushpull]: alone nothing of a lift is asked; beside one the index is a lower limit; N or lbf."""
    options = {name.replace("push_", "--push-"): value for name, value in WITHIN.items()}
    said = run(*[text for pair in options.items() for text in pair])
    assert said.startswith("Push or pull: Force 150 N to start, 70 N to keep it moving: within the guideline figures")
    assert "approve nothing" in said and "not a clearance" in said
    hard = json.loads(run("--push-start", 260, "--units", "metric", "--json"))
    assert (
        hard["push"]["start_most_n"] == 150
        and hard["push"]["why"][0] == "the force to start or stop is above its figure"
    )
    us = run("--units", "us", "--push-start", 34)
    assert "34 lbf to start, not measured to keep it moving" in us and "It needs a specialist" in us
    both = run(*LIFT, "--push-start", 120)
    assert "LI at least" in both and "Push or pull: Force 120 N" in both
    assert json.loads(run(*LIFT, "--json"))["push"] is None


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--push-height", 100], "--push-start: found nothing"),
        (["--push-start", -1], "--push-start: found -1, expected a number of 0 or more"),
        (["--push-keep", 50, "--file", "lifts.csv"], "--push-keep: found given, expected no such option with --file"),
    ],
)
def test_a_push_that_cannot_be_is_refused(options, said):
    """A height without a force, a negative force, a force for a whole table."""
    with pytest.raises(StudyError, match=said):
        run(*options)
