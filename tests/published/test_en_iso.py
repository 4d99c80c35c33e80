"""[en1005_2], [iso11228_2003], [iso11228_2021]: factors and carrying limits, all from memory."""

import pytest
from printed import as_printed, conformance, rows

from coreset.errors import OutOfRange
from coreset.lifting.en_iso import carrying, factored_index, long_shift_multiplier, referred_indices

pytestmark = pytest.mark.unverified


@pytest.mark.rules("SHIFT-long")
@pytest.mark.parametrize("row", rows("iso11228_2021/long_shift"))
def test_long_shift(row):
    """[iso11228_2021], memory: every row, at its upper end and just above its lower end."""
    assert long_shift_multiplier(float(row.to_h)) == as_printed(row.em)
    assert long_shift_multiplier(float(row.above_h) + 0.01) == as_printed(row.em)


@pytest.mark.rules("EN-factors")
@pytest.mark.parametrize("row", rows("en1005_2/multipliers"))
def test_factors(row):
    """[en1005_2], memory: one hand 0.6, extra tasks 0.8."""
    how = {"hands": 1, "persons": 1} if row.name == "one_hand" else {"hands": 2, "persons": 1, "extra_tasks": True}
    found = factored_index(20.0, 10.0, **how)
    assert found.factors == {row.name: float(row.value)}
    assert found.rwl == as_printed(str(20 * float(row.value)))
    assert found.index == pytest.approx(10 / how["persons"] / found.rwl)
    assert found.status == "memory"
    with pytest.raises(OutOfRange, match="persons must be one or more"):
        factored_index(20, 10, hands=2, persons=0)
    with pytest.raises(OutOfRange, match="shift must be at most 12"):
        factored_index(20, 10, hands=2, persons=1, hours=13)


@pytest.mark.rules("CARRY-limits")
@pytest.mark.parametrize("row", conformance("carrying_limits"))
def test_carrying_limits(row):
    """[iso11228_2003], memory: every limit of every distance."""
    found = carrying(10, float(row.distance_m), per_min=1)
    assert found.limits["frequency"] == as_printed(row.f_max_per_min)
    for name in ("kg_per_min", "kg_per_h", "kg_per_8h"):
        assert found.limits[name] == as_printed(getattr(row, name))
    assert found.carried == {"mass": 10, "frequency": 1, "kg_per_min": 10, "kg_per_h": 600, "kg_per_8h": 4800}
    assert found.limits["mass"] == 25 and not found.at_least


@pytest.mark.rules("REF-mass")
@pytest.mark.parametrize("key", ["iso11228_2003", "iso_tr12295"])
def test_reference_masses(key):
    """[iso11228_2003], [iso_tr12295], memory: every population with a single mass."""
    found = {one.population: one for one in referred_indices(1.0) if one.source == key}
    for param in rows(f"{key}/reference_mass"):
        row = param.values[0]
        if row.reference_mass_kg.isdecimal():
            assert found[row.population].index == pytest.approx(23 / float(row.reference_mass_kg))
        else:
            assert row.population not in found
