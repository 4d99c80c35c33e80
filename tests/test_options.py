"""Options of a case: each valued with prices and a setter of its own, on the same runs, and heard in the verdict."""

from dataclasses import replace

import numpy as np
import pytest

from coreset.brief.document import schema
from coreset.case import Option, Range
from coreset.decision.headline import as_document, decision, lines
from coreset.decision.verdict import LEVELS, decide
from coreset.errors import StudyError
from coreset.store.folder import build, plain, read, write
from coreset.store.folder.writer import files_of
from tests.test_decision import changed, demo

OFFER = Option(
    option="offer B",
    setter_price=Range(low=95_000.0, likely=100_000.0, high=110_000.0),
    mask_change_min=9.0,
    patterns=("HB10", "VB24"),
)


def valued(*options, **facts):
    """The demo with options."""
    return changed(options=tuple(options), **facts)


def row_of(a, name):
    """Place and row of an option."""
    return next((i, row) for i, row in enumerate(a.money.alternatives) if row.name == name)


def known_verdicts():
    """Verdicts that the schema of the JSON names."""
    return schema()["properties"]["decision"]["properties"]["verdict"]["enum"]


def test_the_schema_names_every_verdict():
    """None that a reader of the JSON has not been told of."""
    assert set(known_verdicts()) == set(LEVELS)


def test_an_option_with_nothing_of_its_own_is_the_purchase():
    """Same runs, same set, so the difference is 0 in every run, and no other figure of the case moves."""
    a = valued(Option(option="the same"))
    place, same = row_of(a, "the same")
    assert same.patterns == a.money.alternatives[0].patterns
    np.testing.assert_array_equal(a.money.worth_draws[:, place + 1], a.money.worth_draws[:, 1])
    assert (a.money.npv, a.money.chance_payback) == (demo().money.npv, demo().money.chance_payback)
    assert [d.name for d in a.money.drivers] == [d.name for d in demo().money.drivers]


@pytest.mark.parametrize(
    ("field", "value"),
    [("lease_per_year", 30_000.0), ("mask_life_molds", 9_000.0), ("downtime_share", 0.2), ("power_kw", 40.0)],
)
def test_a_number_of_an_option_counts_as_the_same_number_of_the_case(field, value):
    """Set in [money] or [setter] it gives the purchase the worth that it gives the option, run by run."""
    a = valued(Option(option="x", **{field: value}))
    place, _ = row_of(a, "x")
    where = "setter" if hasattr(a.case.setter, field) else "money"
    facts = {where: {field: value}}
    if field == "lease_per_year":
        facts = {"money": {field: value}}
        other = changed(**facts)
        at, _ = row_of(other, "leased")
    else:
        other, at = changed(**facts), 0
    chosen = row_of(a, "x")[1].patterns
    assert chosen == other.money.alternatives[at].patterns
    np.testing.assert_allclose(a.money.worth_draws[:, place + 1], other.money.worth_draws[:, at + 1])
    assert not np.allclose(a.money.worth_draws[:, place + 1], a.money.worth_draws[:, 1])


@pytest.mark.parametrize(
    ("facts", "key", "why"),
    [({"payload": 1.0}, "cores", "payload"), ({"lowering": 5.0}, "cores", "depth"), ({"stroke_m": 60.0}, "stroke", "")],
)
def test_the_envelope_of_an_offer_is_its_own(facts, key, why):
    """What it carries, how deep it lowers, how far it strokes: too little bars this offer and not the purchase."""
    a = valued(replace(OFFER, setter_price=Range.exactly(1_000.0), **facts))
    barred = {name: {row.key: row.why for row in rows} for name, rows in decide(a).barred}
    assert why in barred["offer B"][key] or not why and key in barred["offer B"]
    assert a.money.candidate not in barred and decide(a).option.name == a.money.candidate


def test_production_lost_at_installation_is_that_of_the_offer():
    """40 line hours at the pay of the crew of today; the purchase loses none."""
    lost = Range.exactly(40.0)
    plain, long = (valued(replace(OFFER, installation_lost_hours=each)) for each in (None, lost))
    gap = row_of(long, "offer B")[1].first_cost - row_of(plain, "offer B")[1].first_cost
    base = demo().money.base
    assert gap == pytest.approx(40.0 * base.number("pay") * base.number("crew_today"), rel=0.01)
    assert long.money.npv == plain.money.npv


def test_a_price_of_an_option_has_a_stream_of_its_own_and_the_rest_is_shared():
    """30,000 less for certain is worth 30,000 more in every run; a range varies without moving the purchase."""
    exact = demo().case.money.setter_price
    cheaper = Range(low=exact.low - 30_000.0, likely=exact.likely - 30_000.0, high=exact.high - 30_000.0)
    a = valued(Option(option="cheaper", setter_price=cheaper))
    place, _ = row_of(a, "cheaper")
    ahead = a.money.worth_draws[:, place + 1] - a.money.worth_draws[:, 1]
    assert ahead.mean() == pytest.approx(30_000.0, rel=0.1) and ahead.std() > 0
    np.testing.assert_array_equal(a.money.worth_draws[:, 1], demo().money.worth_draws[:, 1])
    v = decide(a)
    assert v.option.name == "cheaper" and "“cheaper”" in decision(a) and v.rival.chance > 0.5


def test_a_set_that_an_option_states_is_the_one_that_is_valued():
    """Not the best one."""
    _, row = row_of(valued(OFFER), "offer B")
    assert row.patterns == ("HB10", "VB24")


def test_a_setter_of_an_option_that_cannot_hold_the_cores_is_never_recommended():
    """The other vendor's two weak generators; the purchase keeps its own, and the reason is said."""
    weak = replace(OFFER, setter_price=Range.exactly(1_000.0), generators=1, vacuum_max_kpa=0.5)
    a = valued(weak)
    v = decide(a)
    assert v.option.name == a.money.candidate
    assert ("offer B", ["cores"]) in [
        (name, [row.key for row in found if row.key == "cores"]) for name, found in v.barred
    ]


def test_an_option_that_is_ruled_out_is_named_with_its_reason_and_never_taken():
    """Whatever it is worth."""
    free = replace(OFFER, setter_price=Range.exactly(1.0), rule="ruled out", reason="no guard on the turning side")
    a = valued(free)
    assert decide(a).option.name == a.money.candidate
    assert any("no guard on the turning side" in line for line in lines(a))


def test_an_option_that_must_be_done_is_taken_whatever_it_is_worth():
    """A loss, and said with the plant's reason in at most 25 words; where it breaks a limit, that is said."""
    dear = replace(OFFER, setter_price=Range.exactly(400_000.0), rule="must do", reason="order of the safety committee")
    free = {"money": {"budget": 900_000.0}}
    a = valued(dear, **free)
    v = decide(a)
    assert (v.level, v.option.name, v.recommended) == ("must_do", "offer B", True) and v.option.npv.mean < 0
    assert "order of the safety committee" in decision(a) and len(decision(a).split()) <= 25
    assert as_document(a)["verdict"] in known_verdicts()
    assert decide(valued(dear)).level == "not_feasible"


def test_an_option_by_another_method_is_valued_with_its_times():
    """As the method itself is, since it states nothing else."""
    a = valued(Option(option="racks first", method="manual, redesigned"))
    place, row = row_of(a, "racks first")
    at, method = row_of(a, "manual, redesigned")
    assert row.patterns == method.patterns
    np.testing.assert_array_equal(a.money.worth_draws[:, place + 1], a.money.worth_draws[:, at + 1])


def test_options_stand_in_a_table_that_is_read_back(tmp_path):
    """A list of patterns is one cell; what is left empty stays empty."""
    case = replace(demo().case, options=(OFFER, Option(option="lease", lease_per_year=20_000.0)))
    text = files_of(case)["options.csv"]
    assert text.splitlines()[1].startswith("offer B,HB10; VB24,") and len(text.splitlines()) == 3
    write(case, tmp_path / "c")
    assert read(tmp_path / "c").options == case.options
    assert build(plain(case)).options == case.options


@pytest.mark.parametrize(
    ("option", "found"),
    [
        (Option(option="manual"), "a name that no method has"),
        (Option(option="x", method="none such"), "none such"),
        (Option(option="x", patterns=("ZZ",)), "ZZ"),
        (Option(option="x", rule="must do"), "the reason why it is must do"),
        (Option(option="x", setter_price=Range(low=3.0, likely=2.0, high=4.0)), "low <= likely <= high"),
    ],
)
def test_options_that_do_not_fit_the_case_are_refused(option, found):
    """In words, at the door."""
    with pytest.raises(StudyError, match=found):
        build(plain(replace(demo().case, options=(option,))))


def test_an_option_for_patterns_that_nobody_timed_is_not_the_one_that_comes_nearest():
    """It moves nothing and costs nothing, which a loss looks worse than; the purchase is still the one that is told."""
    poor = {"money": {"setter_price": Range.exactly(9_000_000.0), "budget": None}}
    extra = replace(demo().case.patterns[0], pattern="NEW")
    a = valued(Option(option="x", patterns=("NEW",)), patterns=(*demo().case.patterns, extra), **poor)
    v = decide(a)
    assert row_of(a, "x")[1].patterns == () and v.level == "do_not_buy" and v.option.name == a.money.candidate
