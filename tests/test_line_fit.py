"""Whether the setter can hold a core: curve against curve, orientations, pads, sizes, missing inputs."""

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import plant
import pytest

from coreset.case import Core, Setter
from coreset.errors import OutOfRange, StudyError
from coreset.line.cup_leak import EDGE, LEAST_SHAPE, leak_of, shapes
from coreset.line.hold_chance import LeakDraws, hold_chances, meeting_kpa
from coreset.line.hold_range import taken
from coreset.line.leak import cup_leak_l_min_kpa, intrinsic_m2, shape_factor
from coreset.line.report import setter_hold as report
from coreset.line.setter_hold import fits, orientations
from coreset.line.setter_limits import air_demand, least_stroke_s, too_short_strokes
from coreset.line.supply_curve import SupplyCurve, generators_needed, reached_kpa, supply_curve
from coreset.store.folder import write

SETTER = Setter(
    vacuum_max_kpa=80.0, vacuum_flow_l_min=900.0, generators=2, turn_acceleration_m_s2=2.0, safety_factor=2.0,
    mask_length=700.0, mask_width=500.0, air_l_per_cycle=120.0,
)  # fmt: skip
CORE = Core(
    pattern="HUB", core="1", per_mold=2, mass=4.0, length=200.0, width=120.0, height=60.0, print_area=60.0,
    leak_path=40.0, permeability_afs=120.0, print_taper_deg=2.0, print_clearance=0.4,
)  # fmt: skip


def fit(core=CORE, setter=SETTER, **changes):
    """The fit of one core alone in its pattern."""
    return fits(plant.plant(cores=(core,), setter=setter, **changes))[0]


def test_reached_vacuum_lies_on_both_curves():
    """Where the lines cross, the flow of the generators is the leak of the cores."""
    row = fit().cores[0]
    radius = math.sqrt(60.0 / math.pi)
    shape = shape_factor(lip_over_radius=0.2, path_over_radius=4.0 / radius)
    leak = 2 * cup_leak_l_min_kpa(permeability_afs=120.0, radius_cm=radius, shape=shape)
    flow = 2 * 900.0 * (1 - row.reached_kpa / 80.0)
    assert leak * row.reached_kpa == pytest.approx(flow)


def test_force_by_hand():
    """Force is vacuum times face; hanging it must exceed mass times gravity and acceleration: by pocket calculator."""
    row = fit().cores[0]
    assert row.force_n == pytest.approx(row.reached_kpa * 1_000 * 60e-4)
    assert orientations(4.0, 2.0, row.force_n)[0].factor == pytest.approx(row.force_n / (4.0 * 11.80665))
    assert row.factor == min(held.factor for held in row.held)


def test_pad_area_needed_just_holds():
    """With the pad that is named the factor is the one wanted; where more pad only leaks more there is none."""
    strong = replace(SETTER, generators=6)
    need = fit(setter=strong).cores[0].pad_area_cm2
    assert fit(replace(CORE, print_area=need), strong).cores[0].factor == pytest.approx(2.0, rel=1e-6)
    heavy = fit(replace(CORE, mass=40.0)).cores[0]
    assert math.isinf(heavy.pad_area_cm2)
    assert fit(replace(CORE, mass=40.0, print_area=10_000.0)).cores[0].factor < 2.0


def test_generators_needed_hold_what_is_wanted_and_one_less_does_not():
    """The number named is the least that reaches the vacuum wanted."""
    curve = supply_curve(SETTER)
    need = generators_needed(curve, leak_l_min_kpa=60.0, kpa=35.0)
    reach = [reached_kpa(curve, leak_l_min_kpa=60.0, generators=n) for n in (need - 1, need)]
    assert reach[0] < 35.0 <= reach[1]


def test_more_permeable_and_heavier_cores_hold_worse():
    """A leakier core, a heavier one, or a quicker turn never raises the factor."""
    start = fit().cores[0].factor
    assert fit(replace(CORE, permeability_afs=200.0)).cores[0].factor < start
    assert fit(replace(CORE, mass=5.0)).cores[0].factor == pytest.approx(start * 4 / 5)
    assert fit(setter=replace(SETTER, turn_acceleration_m_s2=4.0)).cores[0].factor < start


def test_what_is_not_known_is_not_answered():
    """Without permeability there is no answer, and the input that lacks is named."""
    row = fit(replace(CORE, permeability_afs=0.0)).cores[0]
    assert row.holds is None and row.lacks == ("permeability",) and math.isnan(row.factor)


def test_sizes_prints_and_safety_factor():
    """A core too long for the mask does not fit; missing taper and clearance and a low safety factor are flagged."""
    assert fit(replace(CORE, length=900.0)).cores[0].breaks[0] == "size"
    assert fit(replace(CORE, per_mold=40)).cores[0].breaks[0] == "mask_area"
    assert set(fit(replace(CORE, print_taper_deg=0.0, print_clearance=0.1, height=300.0)).cores[0].reminds) == {
        "taper", "clearance_small", "tilt",
    }  # fmt: skip
    assert "safety_factor" in fit(setter=replace(SETTER, safety_factor=1.5)).cores[0].reminds
    with pytest.raises(OutOfRange, match="at least 1, got 0.5"):
        fit(setter=replace(SETTER, safety_factor=0.5))


def test_unit_sets_agree():
    """The same core in pounds and inches holds as well, to rounding."""
    inch = 25.4
    core = replace(
        CORE, mass=4.0 / 0.45359237, length=200 / inch, width=120 / inch, height=60 / inch, leak_path=40 / inch,
        print_area=60.0 / 6.4516, print_clearance=0.4 / inch,
    )  # fmt: skip
    setter = replace(SETTER, mask_length=700 / inch, mask_width=500 / inch)
    us, metric = fit(core, setter, units="us").cores[0], fit().cores[0]
    assert us.factor == pytest.approx(metric.factor, rel=1e-6)
    assert us.breaks == metric.breaks and us.reminds == metric.reminds


def test_air_of_a_mold_costs_what_it_costs():
    """120 l at 0.02 a cubic metre is 0.0024 a mold, by hand."""
    assert fit().air_cost_per_mold == pytest.approx(0.0024)


@pytest.mark.unverified
@pytest.mark.parametrize(
    ("factor", "clearance", "said"), [(2.0, 0.2, ()), (1.9, 0.2, ("safety_factor",)), (2.0, 0.19, ("clearance_small",))]
)
def test_what_is_common_practice_is_flagged_below_it(factor, clearance, said):
    """common_practice/vacuum, no source: a factor of 2 for porous loads, 0.2 mm of clearance a side; less is told."""
    core = replace(CORE, print_clearance=clearance)
    assert fit(core, replace(SETTER, safety_factor=factor)).cores[0].reminds == said


TABLE = [  # bottom open, wide core: thickness over radius, lip over radius, shape factor by finite volumes [computed]
    (0.5, 0.05, 11.8), (1.0, 0.05, 9.8), (2.0, 0.05, 9.3), (5.0, 0.05, 9.2),
    (0.5, 0.1, 10.7), (1.0, 0.1, 8.7), (2.0, 0.1, 8.1), (5.0, 0.1, 8.0),
    (0.5, 0.2, 9.9), (1.0, 0.2, 7.7), (2.0, 0.2, 7.1), (5.0, 0.2, 7.0),
    (0.5, 0.5, 9.4), (1.0, 0.5, 6.8), (2.0, 0.5, 6.0), (5.0, 0.5, 5.8),
]  # fmt: skip


def solved(lip, thick, wide=4.0, cell=0.05):
    """Shape factor of a cup of radius 1 by finite volumes on a plain mesh: a cylinder, open but for cup and lip."""
    from scipy.sparse import coo_array
    from scipy.sparse.linalg import spsolve

    nr, nz = round(wide / cell), round(thick / cell)
    r, number = (np.arange(nr) + 0.5) * cell, np.arange(nr * nz).reshape(nr, nz)
    face, right = 2 * np.pi * r * cell, 2 * np.pi * (np.arange(1, nr + 1) * cell) * cell
    rows, columns, values, own, given = [], [], [], np.zeros((nr, nz)), np.zeros((nr, nz))
    for a, b, conduct in (
        (number[:-1], number[1:], np.repeat((right[:-1] / cell)[:, None], nz, 1)),
        (number[:, :-1], number[:, 1:], np.repeat((face / cell)[:, None], nz - 1, 1)),
    ):
        for i, j in ((a, b), (b, a)):
            rows, columns = [*rows, i.ravel()], [*columns, j.ravel()]
            values.append(-conduct.ravel())
        own.ravel()[:] += np.bincount(a.ravel(), conduct.ravel(), nr * nz) + np.bincount(
            b.ravel(), conduct.ravel(), nr * nz
        )
    cup, free = r < 1.0, r > 1.0 + lip
    own[:, 0] += np.where(cup | free, face / (cell / 2), 0.0)
    given[:, 0] += np.where(cup, face / (cell / 2), 0.0)
    own[:, -1] += face / (cell / 2)
    own[-1] += right[-1] / (cell / 2)
    every = number.ravel()
    matrix = coo_array(
        (np.concatenate([*values, own.ravel()]), (np.concatenate([*rows, every]), np.concatenate([*columns, every])))
    ).tocsr()
    pressure = spsolve(matrix, given.ravel()).reshape(nr, nz)
    return float((np.where(cup, face / (cell / 2), 0.0) * (1.0 - pressure[:, 0])).sum())


@pytest.mark.parametrize(("thick", "lip", "shape"), TABLE)
def test_shape_factor_against_the_table(thick, lip, shape):
    """The fit is within -2 to +3 % of the tabled factors, to their rounding."""
    assert float(shape_factor(lip_over_radius=lip, path_over_radius=thick)) == pytest.approx(shape, rel=0.04)


@pytest.mark.parametrize(("thick", "lip"), [(1.0, 0.2), (2.0, 0.5), (1.0, 0.5)])
def test_shape_factor_against_a_finite_difference_solution(thick, lip):
    """Our own flow on a plain mesh, 3 to 6 % low at this cell, agrees within 8 %; a finer mesh comes nearer."""
    fitted = float(shape_factor(lip_over_radius=lip, path_over_radius=thick))
    coarse, fine = (solved(lip, thick, cell=cell) for cell in (0.1, 0.05))
    assert fine == pytest.approx(fitted, rel=0.08) and abs(fine - fitted) < abs(coarse - fitted) + 0.05 * fitted


@pytest.mark.parametrize(("thick", "lip", "wide"), [(0.5, 0.2, 1.5), (2.0, 0.2, 1.5), (1.0, 0.4, 1.5), (1.0, 0.1, 1.2)])
def test_near_an_edge_of_the_core_the_leak_lies_within_its_range(thick, lip, wide):
    """The lip at the edge, or a third of the radius from it: more than on a half space, less than the end drawn to."""
    fitted = float(shape_factor(lip_over_radius=lip, path_over_radius=thick))
    assert LEAST_SHAPE < solved(lip, thick, wide=wide) * 1.06 < EDGE * fitted


def test_leak_and_vacuum_of_worked_cups():
    """r 15 lip 4 on 30 mm, P 100: 264 l/min at 30 kPa with the thinning of air (72 straight through) [computed].

    Six cups r 20 lip 4 on 40 mm, 1,400 l/min straight to 55 kPa: 13.1 kPa with it, less without, 31.3 straight through.
    """
    shape = shape_factor(lip_over_radius=4 / 15, path_over_radius=2.0)
    one = float(cup_leak_l_min_kpa(permeability_afs=100, radius_cm=1.5, shape=shape))
    assert 30 * one * (1 - 30 / 202.65) == pytest.approx(264, rel=0.01)
    straight = float(intrinsic_m2(100)) * math.pi * 0.015**2 / (1.82e-5 * 0.03) * 6e7
    assert 30 * straight == pytest.approx(72, abs=0.5)
    assert one / straight == pytest.approx(float(shape) * 2.0 / math.pi)
    core = replace(CORE, per_mold=1, cups=6, print_area=6 * math.pi * 4.0, cup_lip=4.0, permeability_afs=100.0)
    setter = replace(SETTER, vacuum_max_kpa=55.0, vacuum_flow_l_min=1_400.0, generators=1)
    reach = fit(core, setter).cores[0].reached_kpa
    assert 0.85 * 13.1 < reach < 13.1


SIX_CUPS = replace(CORE, per_mold=1, cups=6, print_area=6 * math.pi * 4.0, cup_lip=4.0)
BENT = {"curve_kpa": (0.0, 10.0, 20.0, 30.0, 50.0, 80.0), "curve_l_min": (1400.0, 1000.0, 560.0, 300.0, 160.0, 0.0)}


def drawn_once(leak):
    """One draw of a leak without inertia."""
    return [LeakDraws(leak_l_min_kpa=np.array([leak]), inertia_kpa=np.zeros(1), share=np.zeros(1))]


@pytest.mark.parametrize(
    ("facts", "reached"),
    [({"vacuum_max_kpa": 55.0, "vacuum_flow_l_min": 1400.0}, (21.7, 13.1, 7.2)), (BENT, (17.2, 11.4, 6.7))],
    ids=["straight", "bent"],
)
def test_vacuum_reached_from_the_free_flow(facts, reached):
    """Six cups r 20 lip 4 on 40 mm, P 50, 100, 200, air thinning as it enters: computed; without that a little less."""
    curve = supply_curve(Setter(**facts))
    for permeability, kpa in zip((50.0, 100.0, 200.0), reached, strict=True):
        case = plant.plant(cores=(replace(SIX_CUPS, permeability_afs=permeability),), setter=SETTER)
        leak = leak_of(case, case.cores[0])
        assert float(meeting_kpa(curve, np.ones(1), drawn_once(leak))[0]) == pytest.approx(kpa, abs=0.15)
        assert 0.85 * kpa < reached_kpa(curve, leak_l_min_kpa=leak, generators=1) < kpa


def test_vacuum_reached_against_a_finite_difference_solution():
    """The leak of the flow solved on a plain mesh, met by the straight curve: within 5 % of what the product says."""
    case = plant.plant(cores=(replace(SIX_CUPS, permeability_afs=100.0),), setter=SETTER)
    curve = SupplyCurve(kpa=(0.0, 55.0), flow_l_min=(1400.0, 0.0))
    radius = math.sqrt(4.0)
    one = cup_leak_l_min_kpa(permeability_afs=100.0, radius_cm=radius, shape=solved(0.2, 2.0))
    ours = reached_kpa(curve, leak_l_min_kpa=leak_of(case, case.cores[0]), generators=1)
    assert ours == pytest.approx(reached_kpa(curve, leak_l_min_kpa=6 * float(one), generators=1), rel=0.05)


def test_a_curve_of_two_points_is_the_straight_line():
    """p Q / (Q + G p) by hand; more leak never reaches more; a curve stated in the case takes the line's place."""
    curve = supply_curve(Setter(vacuum_max_kpa=80.0, vacuum_flow_l_min=900.0))
    reach = [reached_kpa(curve, leak_l_min_kpa=g, generators=2) for g in (0.0, 1.0, 60.0, 500.0)]
    assert reach == pytest.approx([80.0 * 1800 / (1800 + g * 80.0) for g in (0.0, 1.0, 60.0, 500.0)])
    assert fit(setter=replace(SETTER, **BENT)).cores[0].reached_kpa < fit().cores[0].reached_kpa


def test_form_holds_against_lifting_off_alone():
    """m 4.4 kg, a 2 m/s2: hanging 51.9 N; on edge by friction 0.4 m (g / 0.4 + a), by form m a; never more by form."""
    by = {grip: fit(replace(CORE, mass=4.4, grip=grip)).cores[0] for grip in ("unknown", "friction", "form")}
    needed = {g: {h.orientation: h.needed_n for h in row.held} for g, row in by.items()}
    assert needed["form"]["hanging"] == pytest.approx(51.9, abs=0.06)
    assert needed["friction"]["on edge"] == pytest.approx(4.4 * (9.80665 / 0.4 + 2))
    assert needed["form"]["on edge"] == pytest.approx(8.8)
    assert by["form"].factor >= by["friction"].factor == by["unknown"].factor
    ends = {grip: taken(plant.plant(cores=(replace(CORE, grip=grip),), setter=SETTER))[0] for grip in by}
    assert ends["friction"].factor[1] < ends["unknown"].factor[1] == ends["form"].factor[1]


PLACED = replace(CORE, per_mold=1, at_x=0.0, at_y=0.0)


@pytest.mark.parametrize(
    ("cores", "setter", "broken"),
    [
        ((PLACED,), {}, ()),
        ((replace(PLACED, at_x=260.0),), {}, ("off_mask",)),
        ((replace(PLACED, at_y=-190.0, turned=False),), {}, ()),
        ((replace(PLACED, at_y=-190.0, turned=True),), {}, ("off_mask",)),
        ((PLACED, replace(PLACED, core="2", at_x=150.0)), {}, ("overlap",)),
        ((PLACED, replace(PLACED, core="2", at_x=200.0)), {}, ()),
        ((replace(PLACED, print_depth=25.0),), {"lowering": 80.0}, ("depth",)),
        ((replace(PLACED, print_depth=25.0),), {"lowering": 85.0}, ()),
        ((replace(PLACED, per_mold=2),), {"payload": 20.0, "mask_mass": 12.1}, ("payload",)),
        ((replace(PLACED, per_mold=2),), {"payload": 20.0, "mask_mass": 12.0}, ()),
    ],
)
def test_layout_depth_and_payload(cores, setter, broken):
    """By hand: a core of 200 x 120 on a mask of 700 x 500, 60 high; 2 x 4 kg and the mask."""
    row = fits(plant.plant(cores=cores, setter=replace(SETTER, **setter)))[0].cores[0]
    assert set(row.breaks) - {"force"} == set(broken)
    assert (row.holds is False) >= bool(broken)


def test_air_against_what_is_entered_and_the_compressor():
    """Two generators of 150 l/min for 20 s: 100 l; 120 entered agree within a fifth, 150 do not; 250 are short."""
    setter = replace(SETTER, feed_l_min=150.0, held_s=20.0)
    air = air_demand(plant.plant(setter=setter))
    assert (air.taken_l, air.feed_l_min, air.differs, air.short) == (pytest.approx(100.0), 300.0, False, False)
    more = air_demand(plant.plant(setter=replace(setter, air_l_per_cycle=150.0, compressor_l_min=250.0)))
    assert more.differs and more.short and air_demand(plant.plant(setter=SETTER)) is None


def test_a_stroke_takes_its_time():
    """2 m at 2 m/s2: 2 s; a step of 1.5 s by the setter is told."""
    assert least_stroke_s(2.0, 2.0) == pytest.approx(2.0)
    rows = [SimpleNamespace(pattern="HUB", method="core setter", step_s=(1.5,), steps=(SimpleNamespace(by="setter"),))]
    case = plant.plant(setter=replace(SETTER, stroke_m=2.0))
    assert too_short_strokes(case, rows) == (("HUB", "core setter", 1.5, 2.0),)
    assert not too_short_strokes(plant.plant(setter=SETTER), rows)


def test_the_chance_falls_with_leak_and_weight_and_a_trial_is_named():
    """Held in nearly every draw or in hardly any at the ends; never more for a leakier or heavier core."""

    def chance(**facts):
        return hold_chances(plant.plant(cores=(replace(SIX_CUPS, **facts),), setter=SETTER), seed=3)[0].chance

    leaky = [chance(permeability_afs=p, mass=2.0) for p in (5.0, 60.0, 120.0, 240.0, 2_000.0)]
    assert leaky == sorted(leaky, reverse=True) and leaky[0] == 1.0 and leaky[-1] < 0.02 and 0 < leaky[2] < 1
    heavy = [chance(mass=m, permeability_afs=120.0) for m in (0.5, 2.0, 4.0)]
    assert heavy == sorted(heavy, reverse=True)
    assert chance(grip="form", permeability_afs=120.0, mass=2.0) >= leaky[2]
    assert not hold_chances(plant.plant(cores=(replace(SIX_CUPS, permeability_afs=0.0),), setter=SETTER))
    case = plant.plant(cores=(replace(SIX_CUPS, mass=2.0),), setter=SETTER)
    said = " ".join(report.chances(case, fits(case), seed=3))
    assert "HUB" in said and "flow meter" in said


def test_the_same_face_in_more_cups_leaks_by_the_root_and_the_range_holds_the_middle():
    """Four cups leak about twice one of their face; the ends of the shape hold the middle; a known lip narrows them."""
    thick = replace(CORE, leak_path=400.0)
    one, four = (fit(replace(thick, cups=n)).cores[0].leak_l_min_kpa for n in (1, 4))
    assert four / one == pytest.approx(2.0, rel=0.03)
    case = plant.plant(cores=(CORE,), setter=SETTER)
    unknown, known = shapes(case, CORE), shapes(case, replace(CORE, cup_lip=9.0))
    assert unknown[0] == known[0] == 4.0 < known[1] < known[2] < unknown[2]


def test_a_print_area_beyond_the_core_proves_nothing():
    """200 x 120 mm is a face of 240 cm2: 241 is a slip that would hold better, so that nothing is said to hold."""
    for area, lacks in ((240.0, ()), (241.0, ("face",)), (2_400.0, ("face",))):
        light = replace(CORE, print_area=area, mass=0.2)
        found = fit(light)
        assert found.cores[0].lacks == lacks and (found.holds is None) is bool(lacks)
        case = plant.plant(cores=(light,), setter=SETTER)
        said = report.answer(case, (found,)), report.chances(case, (found,))
        assert ("print area within the core" in said[0]) is bool(lacks) and bool(said[1]) is not bool(lacks)


def test_a_payload_without_the_mask_s_mass_proves_nothing():
    """2 x 0.2 kg of cores on a payload of 1 kg: with a mask of 0.5 kg it is carried, with one not entered not known."""
    for mask, lacks, says in (
        (0.5, (), "Mask and cores of HUB weigh 0.9"),
        (0.0, ("mask_mass",), "the mask not counted"),
    ):
        setter, light = replace(SETTER, payload=1.0, mask_mass=mask), replace(CORE, mass=0.2)
        found = fit(light, setter)
        case = plant.plant(cores=(light,), setter=setter)
        assert found.cores[0].lacks == lacks and (found.holds is None) is bool(lacks)
        assert says in " ".join(report.sentences(case, (found,))).replace("\N{NO-BREAK SPACE}", " ")


def test_no_vacuum_is_more_than_that_of_empty_space(tmp_path):
    """[standard atmosphere, ISO 2533: 101.325 kPa] 800 mbar typed as kPa is refused in code and in a folder."""
    curve = {"curve_kpa": (0.0, 300.0, 800.0), "curve_l_min": (1400.0, 300.0, 0.0)}
    for facts in ({"vacuum_max_kpa": 800.0}, curve):
        setter = replace(SETTER, **facts)
        with pytest.raises(OutOfRange, match="at most that of empty space, 101.325 kPa, got 800"):
            fit(setter=setter)
        with pytest.raises(StudyError, match="is it mbar"):
            write(plant.plant(cores=(CORE,), setter=setter), tmp_path)
    with pytest.raises(StudyError, match="safety_factor"):
        write(plant.plant(cores=(CORE,), setter=replace(SETTER, safety_factor=0.5)), tmp_path)


def test_a_chance_of_draws_is_never_certain():
    """All of 2,000 draws held, or none, is over 99 % or under 1 %: no calculation proves that a core is held."""
    for permeability, says in ((5.0, "over 99 %"), (90_000.0, "under 1 %")):
        case = plant.plant(cores=(replace(SIX_CUPS, permeability_afs=permeability, mass=2.0),), setter=SETTER)
        said = report.chances(case, fits(case), seed=3)[0].replace("\N{NO-BREAK SPACE}", " ")
        assert says in said and "HUB 100 %" not in said and "HUB 0 %" not in said


def test_air_that_cannot_be_checked_is_told():
    """A compressor entered without the air that a generator takes is compared with nothing, and that is said."""
    for facts, told in (({"compressor_l_min": 250.0}, True), ({"held_s": 20.0}, True), ({}, False)):
        case = plant.plant(cores=(CORE,), setter=replace(SETTER, **facts))
        assert ("neither the air of a cycle nor the compressor" in " ".join(report.sentences(case, fits(case)))) is told
