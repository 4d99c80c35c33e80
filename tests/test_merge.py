"""Edits of two people joined by row and field: what each changed is kept, and a conflict names both values."""

from dataclasses import replace
from functools import cache

import pytest

from coreset.forms.editing import names
from coreset.forms.merge import Conflict, merged, moved_up, removed
from coreset.store.folder import read
from coreset.web.shelf import demo_folder


@cache
def case():
    """The smaller invented plant."""
    return read(demo_folder().parent / "tamarack_flat")


def saved_by_other(**changes):
    """The case after somebody else saved other values of the line."""
    return replace(case(), line=replace(case().line, **changes))


def test_fields_of_two_people_are_joined():
    """One changes the shifts, the other the days: both stay."""
    now = saved_by_other(days_per_year=199.0)
    typed = {"shifts_per_day": 3.0, "days_per_year": case().line.days_per_year}
    found = merged(case(), now, "line", typed)
    assert (found.line.shifts_per_day, found.line.days_per_year) == (3.0, 199.0)


def test_the_same_field_is_a_conflict_with_both_values():
    """Both changed the days: refused with the other's value beside the field; accepted once that value was shown."""
    now = saved_by_other(days_per_year=199.0)
    with pytest.raises(Conflict) as refused:
        merged(case(), now, "line", {"days_per_year": 222.0})
    fault = refused.value.faults[0]
    assert "222" in fault.found and "199" in fault.expected and refused.value.theirs == {"days_per_year": "199.0"}
    again = merged(case(), now, "line", {"days_per_year": 222.0}, accepted=refused.value.theirs)
    assert again.line.days_per_year == 222.0
    later = saved_by_other(days_per_year=188.0)
    with pytest.raises(Conflict):
        merged(case(), later, "line", {"days_per_year": 222.0}, accepted=refused.value.theirs)


def test_the_same_value_is_no_conflict():
    """Both typed the same: nothing to ask."""
    assert (
        merged(case(), saved_by_other(days_per_year=222.0), "line", {"days_per_year": 222.0}).line.days_per_year == 222
    )


def test_rows_are_found_by_name_wherever_they_stand():
    """The order changed meanwhile: the row of the name is changed, no other."""
    now = replace(case(), patterns=case().patterns[::-1])
    code = case().patterns[0].pattern
    found = merged(case(), now, "patterns", {"castings_per_mold": 7}, name=code)
    assert {p.pattern: p.castings_per_mold for p in found.patterns} == {
        p.pattern: 7 if p.pattern == code else p.castings_per_mold for p in case().patterns
    }


def test_a_row_that_is_gone_or_changed_is_told():
    """A row that somebody else took away cannot be changed; one that was changed is removed only knowingly."""
    first, second = case().lifts[:2]
    gone = replace(case(), lifts=case().lifts[1:])
    name = f"{first.pattern} {first.task}"
    with pytest.raises(Conflict, match="somebody else removed or renamed it"):
        merged(case(), gone, "lifts", {"hands": 1}, name=name)
    with pytest.raises(Conflict, match="somebody else removed or renamed it"):
        removed(case(), gone, "lifts", name)
    other = replace(case(), lifts=(replace(first, horizontal_origin=first.horizontal_origin + 1), *case().lifts[1:]))
    with pytest.raises(Conflict, match="somebody else changed it") as refused:
        removed(case(), other, "lifts", name)
    assert removed(case(), other, "lifts", name, accepted=refused.value.theirs).lifts == case().lifts[1:]
    assert removed(case(), case(), "lifts", f"{second.pattern} {second.task}").lifts == (first, *case().lifts[2:])


def test_a_row_is_moved_by_its_name():
    """The second line of an allowance set goes first, found by its name and that of its set."""
    held = case().allowances[0]
    lines = names(case(), "lines", 0)
    found = moved_up(case(), case(), "lines", lines[1], owner=names(case(), "allowances")[0])
    assert found.allowances[0].lines[:2] == held.lines[1::-1]
