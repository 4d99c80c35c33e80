"""Heat: [wbgt_docs], [niosh2016], [iso7243_1989], [iso7243_2017]."""

import pytest
from printed import as_printed, conformance, rows

from coreset.bodywork.heat import clothing_adjustment_c, iso_limit, niosh_limit, wbgt, work_minutes_per_h
from coreset.errors import OutOfRange


@pytest.mark.rules("HEAT-wbgt")
@pytest.mark.parametrize("row", rows("wbgt_docs/examples"))
def test_wet_bulb_globe_temperature(row):
    """[wbgt_docs]: 27.1 without and 25.9 with sun."""
    found = wbgt(
        wet_bulb_c=float(row.wet_bulb_c),
        globe_c=float(row.globe_c),
        air_c=float(row.air_c) if row.air_c else None,
        sun=row.sun == "yes",
    )
    assert found == as_printed(row.wbgt_c)
    with pytest.raises(OutOfRange, match="air temperature must be given"):
        wbgt(wet_bulb_c=20, globe_c=30, sun=True)


@pytest.mark.rules("HEAT-limits")
@pytest.mark.parametrize("row", rows("niosh2016/example"))
def test_the_publications_own_example_is_read_off_curves(row):
    """[niosh2016]: 348.9 W reads 27.8 and 25 off the curves; its equations give 27.46 and 24.05, which differ."""
    rel = niosh_limit(float(row.metabolic_w), acclimatized=True)
    ral = niosh_limit(float(row.metabolic_w), acclimatized=False)
    assert rel.wbgt_c == pytest.approx(27.46, abs=0.005) and rel.name == "REL"
    assert ral.wbgt_c == pytest.approx(24.05, abs=0.005) and ral.name == "RAL"
    assert rel.wbgt_c != as_printed(row.rel_c) and ral.wbgt_c != as_printed(row.ral_c)


@pytest.mark.rules("HEAT-reference-1989", "HEAT-reference-2017")
@pytest.mark.parametrize("row", conformance("heat_limits"))
def test_iso_reference_values(row):
    """[iso7243_1989], [iso7243_2017], reprinted: every row, inside its class."""
    inside = float(row.to_w) if row.to_w else float(row.above_w) + 50
    for acclimatized, printed in ((True, row.acclimatized_c), (False, row.not_acclimatized_c)):
        found = iso_limit(inside, acclimatized=acclimatized, edition=row.edition, moving_air=row.air == "moving")
        assert found.wbgt_c == as_printed(printed)
        assert found.status == row.status


def test_an_edition_that_does_not_exist_is_refused():
    """Only the two editions have tables."""
    with pytest.raises(OutOfRange, match="edition must be one of 1989, 2017"):
        iso_limit(200, acclimatized=True, edition="2030")


@pytest.mark.rules("HEAT-clothing")
@pytest.mark.parametrize("row", rows("iso7243_2017/clothing"))
def test_clothing(row):
    """[iso7243_2017]: every ensemble of the table."""
    assert clothing_adjustment_c(row.clothing) == as_printed(row.adjustment_c)


def test_clothing_that_is_not_in_the_table_is_refused():
    """The table's own words are told."""
    with pytest.raises(OutOfRange, match="clothing must be one of work clothes"):
        clothing_adjustment_c("apron")


@pytest.mark.rules("HEAT-mean")
def test_work_and_rest_within_an_hour_keep_the_mean_at_the_limit():
    """[niosh2016]: the limit holds for the hour's mean; rest somewhere cool buys more work."""
    minutes = work_minutes_per_h(28.5, work_w=415, rest_w=117, acclimatized=True)
    assert 0 < minutes < 60
    mean = minutes / 60 * 415 + (1 - minutes / 60) * 117
    assert niosh_limit(mean, acclimatized=True).wbgt_c == pytest.approx(28.5, abs=1e-6)
    assert work_minutes_per_h(28.5, work_w=415, rest_w=117, acclimatized=True, rest_wbgt_c=22) > minutes
    assert work_minutes_per_h(28.5, work_w=415, rest_w=117, acclimatized=False) < minutes
    assert work_minutes_per_h(40, work_w=415, rest_w=117, acclimatized=True) == 0
    assert work_minutes_per_h(20, work_w=300, rest_w=117, acclimatized=True) == 60
