"""Whether the setter can take the cores: met, not met or not proven, over the range of leak and grip."""

from dataclasses import replace

import pytest

from coreset.line.hold_range import taken
from coreset.store.folder import read
from coreset.web.shelf import demo_folder

CASE = read(demo_folder())


def status(case, pattern="VB24"):
    """Status of one pattern."""
    return next((row.status, row.why) for row in taken(case) if row.pattern == pattern)


@pytest.mark.parametrize(
    ("setter", "told"),
    [
        ({}, ("not_proven", ("force",))),
        ({"generators": 200, "vacuum_max_kpa": 90.0}, ("met", ())),
        ({"vacuum_max_kpa": 5.0}, ("not_met", ("force",))),
        ({"mask_length": 100.0}, ("not_met", ("mask_area", "size"))),
        ({"vacuum_flow_l_min": 0.0}, ("not_proven", ("vacuum_flow",))),
    ],
)
def test_one_changed_fact_of_the_setter(setter, told):
    """Six cores of the valve body: as offered, very strong, very weak, too small a mask, a missing figure."""
    assert status(replace(CASE, setter=replace(CASE.setter, **setter))) == told


def test_missing_data_and_worse_cores_never_prove_more():
    """No cores entered: not proven. More leak or mass: the status never rises."""
    assert status(replace(CASE, cores=())) == ("not_proven", ("no_cores",))
    order, last = ("not_met", "not_proven", "met"), 2
    strong = replace(CASE, setter=replace(CASE.setter, generators=60))
    for times in (0.01, 0.1, 1.0, 10.0, 100.0):
        cores = tuple(replace(c, permeability_afs=c.permeability_afs * times) for c in CASE.cores)
        rank = order.index(status(replace(strong, cores=cores))[0])
        assert rank <= last
        last = rank
    assert last == 0
