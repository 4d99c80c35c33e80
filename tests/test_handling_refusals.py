"""What handling refuses, in words that say what must hold and what was found."""

import pytest
from handling_cases import case, lift, standard

from coreset.bodywork import energy, heat, static_hold
from coreset.bodywork.hand_work import Hands, strain_index
from coreset.errors import OutOfRange
from coreset.lifting import composite, duration, en_iso, equation, lift_end, lift_table
from coreset.lifting.lever_ranges import allowed
from coreset.lifting.screen import screen
from coreset.lifting.task_values import task_at

ROW = {
    "mass": 10.0, "horizontal": 40.0, "vertical": 75.0, "travel": 30.0, "angle": 0.0, "frequency": 1.0,
    "duration": "long", "coupling": "good", "units": "metric",
}  # fmt: skip


def variable(**what):
    """A variable index of three lifts."""
    usual = {"fili": [1.0, 1.2, 0.8], "weight": [1, 1, 1], "vertical": [80] * 3, "total_per_min": 2.0}
    return composite.variable_index(**usual | {"duration": "short"} | what)


def task():
    """A task at the pace of its standard."""
    a_case = case(lift())
    return task_at(a_case, lift(), screen(a_case, [standard(60.0)])[0])


NONE = {"fili": [], "stli_independent": [], "frequency_per_min": [], "vertical": [], "duration": "short"}
REFUSED = [
    (lambda: composite.composite_index(**NONE), "tasks must be at least one, got none"),
    (lambda: variable(weight=[0, 0, 0]), "weight must be above zero for at least one lift"),
    (lambda: variable(weight=[1, -1, 1]), "weight must be zero or more, got -1"),
    (lambda: variable(rule="quartiles"), "rule must be ranges or sextiles, got 'quartiles'"),
    (lambda: duration.recovery_needed_min(30, edition="1981"), "edition must be one of 1994, 2021, got '1981'"),
    (lambda: duration.sessions([(30, -1)]), "spells of work must be zero or more minutes, got -1"),
    (lambda: energy.rest_share(6.0, limit=1.5, rest=1.5), "energy at rest must be below the limit 1.5, got 1.5"),
    (lambda: heat.niosh_limit(0.0, acclimatized=True), "metabolic rate must be above zero, got 0"),
    (lambda: equation.codes([0, 3], ("short", "moderate", "long"), "duration"), "duration must be a place in short"),
    (lambda: equation.codes(["brief"], ("short", "long"), "duration"), "duration must be one of short, long, got 'br"),
    (lambda: lift_table.variable_of_rows([ROW], total_per_min=0.0), "frequency must be above zero, got 0"),
    (lambda: lift_table.variable_of_rows([ROW], total_per_min=float("nan")), "frequency must be above zero, got nan"),
    (
        lambda: lift_table.variable_of_rows([ROW, {**ROW, "units": "us"}], total_per_min=1.0),
        "must be in one unit set, got metric, us",
    ),
    (lambda: allowed(task(), ("robot",)), "change must be one of rack_height, "),
    (lambda: lift_end.heaviest(12.0, 9.0), "mass_max must be at least the mass 12, got 9"),
    (lambda: static_hold.static_rest_share(-0.1, 0.3), "hold_min must not be negative, got -0.1"),
    (lambda: en_iso.factored_index(20.0, 12.0, hands=2, persons=0), "persons must be one or more, got 0"),
    (lambda: en_iso.long_shift_multiplier(12.5), "shift must be at most 12 hours for this method, got 12.5"),
    (lambda: strain_index(Hands(effort_borg=3, efforts_per_min=-1, exertion_s=2, wrist_deg=0, hours=8)), "-1"),
]


@pytest.mark.parametrize(("asked", "words"), REFUSED, ids=[words[:45] for _, words in REFUSED])
def test_what_cannot_be_is_refused_in_words(asked, words):
    """Each refusal says what must hold and what was found."""
    with pytest.raises(OutOfRange) as refused:
        asked()
    assert words in str(refused.value)
