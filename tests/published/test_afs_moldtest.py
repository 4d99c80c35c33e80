"""AFS permeability: the constant of the definition and a laboratory sheet."""

import pytest
from printed import as_printed, rows

from coreset.line.leak import afs_number, intrinsic_m2
from coreset.sources import table


@pytest.mark.rules("PERM-number")
def test_constant_of_the_definition():
    """[afs_moldtest] the standard specimen gives P = 501.28 / (p t), t in minutes; seconds would be wrong by 60."""
    printed = {row["quantity"]: row["value"] for row in table("afs_moldtest/definition").rows}
    assert afs_number(pressure_cm_water=1.0, time_s=60.0) == as_printed(printed["constant_minutes"])


@pytest.mark.rules("PERM-number")
@pytest.mark.parametrize("row", rows("afs_moldtest/examples"))
def test_laboratory_sheet(row):
    """[afs_moldtest] a laboratory sheet's own reading."""
    found = afs_number(pressure_cm_water=float(row.pressure_cm_water), time_s=float(row.time_s))
    assert found == as_printed(row.permeability_afs)


@pytest.mark.rules("PERM-darcy")
def test_darcy_by_the_units_of_the_definition():
    """One AFS unit is 1 cm3 a minute through 1 cm2 and 1 cm at 1 cm of water: in m2 with air at 20 degrees C."""
    cm3_s, pressure = 1e-6 / 60, 98.0665
    assert intrinsic_m2(1.0) == pytest.approx(cm3_s * 1.82e-5 * 0.01 / (1e-4 * pressure), rel=1e-9)
