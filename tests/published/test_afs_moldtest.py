"""AFS permeability: the number of the definition and of a laboratory sheet is Darcy's permeability in its own units."""

import pytest
from printed import rows, tolerance

from coreset.line.leak import intrinsic_m2
from coreset.sources import table

AIR_PA_S, CM_WATER_PA = 1.82e-5, 98.0665


def darcy_m2(pressure_cm_water, time_s):
    """Permeability k = mu V H/(A p t) of the standard specimen in SI, from the sizes that the definition prints."""
    size = {row["quantity"]: float(row["value"]) for row in table("afs_moldtest/definition").rows}
    flow = size["specimen_volume"] * 1e-6 / time_s
    gradient = pressure_cm_water * CM_WATER_PA / (size["specimen_height"] * 0.01)
    return AIR_PA_S * flow / (size["specimen_area"] * 1e-4 * gradient)


@pytest.mark.rules("PERM-number", "PERM-darcy")
def test_constant_of_the_definition():
    """[afs_moldtest] the standard specimen gives P = 501.28 / (p t), t in minutes; seconds would be wrong by 60."""
    (printed,) = (
        row["value"] for row in table("afs_moldtest/definition").rows if row["quantity"] == "constant_minutes"
    )
    assert intrinsic_m2(float(printed)) == pytest.approx(darcy_m2(1.0, 60.0), rel=tolerance(printed) / float(printed))


@pytest.mark.rules("PERM-number")
@pytest.mark.parametrize("row", rows("afs_moldtest/examples"))
def test_laboratory_sheet(row):
    """[afs_moldtest] a laboratory sheet's own reading."""
    printed = float(row.permeability_afs)
    found = darcy_m2(float(row.pressure_cm_water), float(row.time_s))
    assert intrinsic_m2(printed) == pytest.approx(found, rel=tolerance(row.permeability_afs) / printed)
