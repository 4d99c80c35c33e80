"""Groups of a form: each field in one of them, ten at most, required first; every number has its unit in its label."""

import dataclasses

import pytest

from coreset.brief.case_status import place_name
from coreset.case import Case
from coreset.forms.editing import LISTS, SECTIONS, kind_of
from coreset.forms.fields import NUMBERS, fields
from coreset.forms.groups import GROUPS, SELDOM, groups
from coreset.store.folder import read
from coreset.web.shelf import demo_folder

COUNTED = {
    "seed",
    "form",
    "spare_masks",
    "volume_margin_correlation",
    "volume_correlation",
    "price_correlation",
    "li_limit",
    "mold_positions",
    "pouring_batch",
    "pouring_places",
    "setting_places",
    "open_drags",
    "flasks",
    "cooling_places",
    "outer_row_places",
    "outer_row_stations",
    "upper_level_stations",
    "generators",
    "lifting_index_limit",
    "per_mold",
    "permeability_afs",
    "hands",
    "index_before",
    "index_after",
    "cores_per_trip",
    "supply_places",
    "cycles_back",
    "molds_per_cycle",
    "cores_handled",
    "molds",
    "castings_poured",
    "castings_scrapped",
    "cups",
    "castings_per_mold",
}
"""Bare counts, whose label says what is counted, indexes and correlations: they have no unit."""


@pytest.mark.parametrize("place", ["case", *SECTIONS, *LISTS])
def test_every_field_stands_in_one_group_and_every_number_has_its_unit(place):
    """No field is lost or asked twice; a required one is never folded away; a number says what it is counted in."""
    case = read(demo_folder())
    kind: type = Case if place == "case" else kind_of(case, place)
    asked = fields(kind, case.units, {}, case.currency)
    assert place_name(place) != f"front.part.{place}"
    found = groups(kind, asked)
    assert sorted(one.name for part in found for one in part.fields) == sorted(one.name for one in asked)
    assert all(0 < len(part.fields) <= 10 for part in found)
    assert not [one.name for part in found if part.advanced for one in part.fields if one.required]
    for part in found:
        needed = [one.required for one in part.fields]
        assert part.name in ("main", "more") or needed == sorted(needed, reverse=True)
    bare = [one.name for one in asked if one.kind in NUMBERS and one.name not in COUNTED and ", " not in one.label]
    assert not bare


@pytest.mark.parametrize("stated", [GROUPS, SELDOM])
def test_a_group_names_fields_that_there_are(stated):
    """A field that was renamed would fall among the rest unnoticed."""
    case = read(demo_folder())
    kinds = {kind.__name__: kind for kind in (kind_of(case, place) for place in [*SECTIONS, *LISTS])}
    for name, parts in stated.items():
        known = {field.name for field in dataclasses.fields(kinds[name])}
        assert {field for part in parts.values() for field in part} <= known
