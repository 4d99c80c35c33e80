"""The base case against a second model in plain loops that shares no code with it."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import plain_cash_flow
import pytest
from figures_cases import SIZE, demo_inputs
from plant import money, plant, rates

from coreset.case import ItemGrowth, Line, Range
from coreset.case.growth import GROWING
from coreset.errors import StudyError
from coreset.figures import evaluate
from coreset.figures.arrays import given
from coreset.money.base_case import base_case
from coreset.money.figures import MODEL
from coreset.money.simulation_inputs import draw
from coreset.money.year_plan import plan, ways
from coreset.store.folder import read, write
from coreset.web.shelf import demo_folder

BY_YEAR = ("write_off_share", "write_off_share_later")
FULL = Line(shifts_per_day=3, days_per_year=300, saved_hours_used=True)
SHORT = Line(shifts_per_day=1, days_per_year=205, hours_per_shift=8)
"""Hours that are too few today, so that overtime is worked and less than the volume is made."""
SOME = Range.exactly(20_000.0)
FINANCED = {"loan_share": 0.5, "loan_rate": 0.07, "loan_years": 4, "grant": SOME, "working_capital": SOME}
ONCE = {"overhaul_cost": SOME, "overhaul_year": 6, "replacement_cost": SOME, "replacement_year": 4,
        "installation_lost_hours": Range.exactly(12.0), "lost_margin_per_h": Range.exactly(99.0)}  # fmt: skip
TAX = {"tax_rate": 0.27, "depreciation": "macrs7", "masks_capitalised": True, "first_year_share": 0.2}
LEASE = {"lease_per_year": 31_000.0, "lease_years": 5, "lease_buyout": 30_000.0}
TERMS = {"delivery_months": 7.0, "warranty_years": 1.5, "repairs_per_year": SOME}
CORES = {"breakage_pct": 2.0, "rework_pct": 1.0, "rework_cost": 8.0, "cores_per_trip": 40, "trip_min": 2.0}
PROGRAMS = {"HUB": {"ends_after_year": 6}, "BOX": {"goes_over_in_year": 3, "volume_growth": 0.06}}


def base(facts=None, programs=None, way=0, chosen=(1, 1, 0, 1), line=None, cores=None, growth=()):
    """A base case of the invented plant; `cores`: what breakage, trips and assembly are under today's method."""
    case = plant(money=money(spare_masks=1, shift_premium=0.1, hours_saved_paid=Range.exactly(0.7),
                             injury_cost_per_year=SOME, commissioning_scrap=30, mask_life_molds=90_000,
                             overtime_limit_h_per_year=150, **(facts or {})))  # fmt: skip
    patterns = tuple(replace(p, **(programs or {}).get(p.pattern, {})) for p in case.patterns)
    case = replace(case, patterns=patterns, line=line or case.line, growth=growth)
    if cores:
        first = replace(case.methods[0], **cores)
        setter, own = replace(case.setter, mask_prep_min=25.0), tuple(replace(c, cost=3.0) for c in case.cores)
        case = replace(case, methods=(first, *case.methods[1:]), setter=setter, cores=own)
    known = rates(draws=30)
    sample, year = draw(case, known, (), draws=50, seed=1), plan(case, known)
    option = ways(case, known)[way]
    sample = sample.changed({f"exposure.{c}.{option.method}": 0.3 for c in year.patterns})
    return case, base_case(sample, year, option, case.money, np.array(chosen, dtype=float)[:, None])


def numbers(found):
    """Inputs of a base case as plain numbers and lists."""
    count, years, made = len(found.patterns), found.years, {}
    shapes = {"": (1, 1), "p": (count, 1), "y": (1, years), "py": (count, years), "pq": (count, count)}
    for key, value in given(MODEL, found.inputs, found.size).items():
        if key in MODEL.inputs:
            grid = np.broadcast_to(value[:, :, 0], shapes[MODEL.inputs[key].axes])
            made[key] = grid.squeeze(axis=tuple(k for k in (0, 1) if shapes[MODEL.inputs[key].axes][k] == 1)).tolist()
    return made


@pytest.mark.parametrize(
    ("facts", "programs", "way", "line"),
    [
        ({}, {}, 0, None),
        (TAX, {}, 0, SHORT),
        (TAX | ONCE | FINANCED, {}, 0, None),
        (TAX | FINANCED, PROGRAMS, 0, FULL),
        (TAX | LEASE | ONCE, {}, 1, FULL),
        ({"tax_rate": 0.2, "depreciation": "straight", "depreciation_years": 4}, PROGRAMS, 0, FULL),
        ({"tax_rate": 0.2}, {}, -1, None),
        (TAX | TERMS, PROGRAMS, 0, FULL),
        (TERMS | {"delivery_months": 19.0}, {}, 0, SHORT),
    ],
)
def test_a_plain_model_gives_the_same_flow(facts, programs, way, line):
    """Each year of both flows, and what they are worth, to a millionth; without, with tax, loan, lease and programs."""
    case, found = base(facts, programs, way, line=line)
    project, own = plain_cash_flow.cash_flow(numbers(found), found.years, found.patterns)
    rate = case.money.discount_rate
    size = max(map(abs, project))
    assert found.flow().tolist() == pytest.approx(project, rel=1e-6, abs=1e-6 * size)
    assert found.flow("equity_flow").tolist() == pytest.approx(own, rel=1e-6, abs=1e-6 * size)
    assert found.number("npv") == pytest.approx(plain_cash_flow.worth(rate, project), rel=1e-6, abs=1e-6 * size)
    assert found.number("equity_npv") == pytest.approx(plain_cash_flow.worth(rate, own), rel=1e-6, abs=1e-6 * size)


def test_every_item_of_a_running_year_has_a_growth_of_its_own():
    """Those that the case may state are those of the cash flow; only the lease's end is paid as agreed."""
    agreed = {"buyout", "sale", "tax"}
    items = {*MODEL.kinds["operating"], *MODEL.kinds["occasional"]} - agreed
    assert items == set(GROWING) == {key.removesuffix("_growth") for key in MODEL.inputs if key.endswith("_growth")}


@pytest.mark.parametrize("facts", [TAX | ONCE, TAX | LEASE])
def test_items_that_grow_by_themselves_change_the_flow_as_the_plain_model_says(facts):
    """Each item its own growth, up and down, beyond the inflation of its kind; without one nothing changes."""
    rows = tuple(ItemGrowth(item=item, per_year=0.004 * (place - 7)) for place, item in enumerate(GROWING))
    way = 1 if "lease_per_year" in facts else 0
    found = base(facts, PROGRAMS, way, line=FULL, cores=CORES | {"assembly_s": 9.0}, growth=rows)[1]
    project, own = plain_cash_flow.cash_flow(numbers(found), found.years, found.patterns)
    size = max(map(abs, project))
    assert found.flow().tolist() == pytest.approx(project, rel=1e-6, abs=1e-6 * size)
    assert found.flow("equity_flow").tolist() == pytest.approx(own, rel=1e-6, abs=1e-6 * size)
    plain = base(facts, PROGRAMS, way, line=FULL, cores=CORES | {"assembly_s": 9.0})[1]
    assert not np.allclose(found.flow(), plain.flow(), rtol=1e-4)
    for year in (1, 4):
        grown = found.number("maintenance", year=year) / plain.number("maintenance", year=year)
        assert grown == pytest.approx((1 + 0.004 * (GROWING.index("maintenance") - 7)) ** year)


@pytest.mark.parametrize("assembly_s", [0.0, 25.0])
def test_cores_beyond_their_setting_reach_the_money(assembly_s):
    """Breakage, rework, trips, assembly and preparation of masks: the plain model agrees, each item by hand."""
    case, found = base(cores=CORES | {"assembly_s": assembly_s}, chosen=(1, 0, 0, 0), line=FULL)
    project, _ = plain_cash_flow.cash_flow(numbers(found), found.years, found.patterns)
    assert found.flow().tolist() == pytest.approx(project, rel=1e-6)
    molds = 60_000.0
    year = {name: found.number(name) for name in ("core_losses", "core_supply", "mask_preparation")}
    rise = 1.02 * molds
    assert year["core_losses"] == pytest.approx(rise * (2 * 0.02 / 0.98 * 3.0 + 0.01 * 2 * 8.0), rel=1e-6)
    pay = 23 * 1.42 * (1 + 0.1 * 2 / 3) * 1.03
    hours = molds * (2 / 40 * 120 + assembly_s) / 3600
    assert year["core_supply"] == pytest.approx(pay * 0.7 * hours, rel=1e-3)
    assert year["mask_preparation"] == pytest.approx(-pay * 25 / 60 * 60, rel=1e-3)


def test_a_plain_model_gives_the_flow_of_the_demo():
    """The demo at the values that its workbook was checked with."""
    found = SimpleNamespace(inputs=demo_inputs(), size=SIZE, patterns=range(SIZE.patterns), years=SIZE.years)
    project, _ = plain_cash_flow.cash_flow(numbers(found), found.years, found.patterns)
    expected = evaluate(MODEL, found.inputs, found.size, keep=["project_flow", "npv"])
    assert expected["project_flow"][0, :, 0].tolist() == pytest.approx(project, rel=1e-6, abs=1e-3)
    assert expected["npv"].item() == pytest.approx(plain_cash_flow.worth(0.09, project), rel=1e-6)


def test_growth_of_items_leaves_a_folder_and_comes_back_once_each(tmp_path):
    """growth.csv: what was written is read; an item twice is refused with its place."""
    rows = (
        ItemGrowth(item="maintenance", per_year=0.05, source="service contract"),
        ItemGrowth(item="labour", per_year=-0.01),
    )
    write(replace(read(demo_folder()), growth=rows), tmp_path / "line")
    assert read(tmp_path / "line").growth == rows
    file = tmp_path / "line" / "growth.csv"
    lines = file.read_text(encoding="utf-8").splitlines()
    file.write_text("\n".join([*lines, lines[1]]) + "\n", encoding="utf-8")
    with pytest.raises(StudyError, match="'maintenance' again"):
        read(tmp_path / "line")
