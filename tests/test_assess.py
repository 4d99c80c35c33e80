"""The whole job in one call: what it says of each room, in order; the same with the same seed; refused in words."""

import dataclasses
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from assessed import assessed

from coreset import assess as room
from coreset import before_money as before
from coreset.assess import STAGES, answered, assess
from coreset.brief.warnings import warnings
from coreset.case import Correction, Range, RatedPace
from coreset.case.money import NO_PRICES
from coreset.decision import headline
from coreset.decision.verdict import decide
from coreset.errors import CoresetError, OutOfRange
from coreset.store.folder import read
from coreset.study.pooling import by_pattern
from coreset.web.shelf import demo_folder

SIZES = {"resamples": 200, "draws": 1_000, "replications": 20}


@cache
def small():
    """The smaller invented plant."""
    return read(demo_folder().parent / "tamarack_flat")


@cache
def troubled():
    """The same with a name in a study and among the raters, and with damp air."""
    case = small()
    pace = RatedPace(
        observer="Anna Example", taken="2026-11-25T10:00", shown="walking", known_pct=100, rated_pct=95,
        rating_scale="100-133",
    )  # fmt: skip
    return dataclasses.replace(
        case,
        studies=(dataclasses.replace(case.studies[0], observer="Anna Example"), *case.studies[1:]),
        raters=(pace,),
        place=dataclasses.replace(case.place, humidity_pct=80.0),
    )


@cache
def found(case):
    """What follows from one of them."""
    return assess(case, **SIZES)


def test_every_room_is_heard_in_order():
    """Names, damp air, cores not held, tax: told room by room as the work goes, and no name is repeated."""
    told = found(troubled()).warnings
    rooms = [warned.room for warned in told]
    assert rooms == sorted(rooms, key=["study", "handling", "line", "money"].index)
    named = [warned.blanks for warned in told if warned.code == "name_like"]
    assert named == [
        {"study": small().studies[0].study, "element": "observer"},
        {"study": "raters.csv", "element": "observer"},
    ]
    codes = [(warned.room, warned.code) for warned in told]
    assert codes.count(("handling", "humidity")) == 1
    assert ("line", "not_held") in codes and ("money", "ask_an_accountant") in codes
    assert "Anna" not in repr(told)


def test_what_is_in_order_is_not_told_of():
    """Without the names and the damp air those warnings are gone and no other has come."""
    plain, with_trouble = (
        {(warned.room, warned.code) for warned in found(case).warnings} for case in (small(), troubled())
    )
    assert with_trouble - plain == {("study", "name_like"), ("handling", "humidity")}
    assert plain < with_trouble


def test_the_seed_alone_decides_the_draws():
    """The case's own seed unless another is given; the same one gives the same worth to the last bit."""
    own = found(small())
    again, other = (assess(small(), seed=seed, **SIZES) for seed in (small().seed, small().seed + 1))
    assert own.seed == again.seed == small().seed != other.seed
    assert (own.money.npv_draws == again.money.npv_draws).all()
    assert not (own.money.npv_draws == other.money.npv_draws).any()


def test_each_room_has_its_result_and_progress_only_grows():
    """Cycles and rates for every pattern under every method timed; the stages are told in order, up to the end."""
    told = []
    whole = assess(small(), **SIZES, progress=lambda stage, share: told.append((stage, share)))
    assert whole.pooled.keys() == by_pattern(whole.standards).keys()
    pairs = {(pattern.pattern, method.method) for pattern in small().patterns for method in small().methods}
    assert {(row.pattern, row.method) for row in whole.mold_cycles} == pairs
    assert {(row.pattern, row.method) for row in whole.line} == pairs
    assert [stage for stage, _ in told[: len(STAGES)]] == list(STAGES)
    shares = [share for _, share in told]
    assert shares == sorted(shares) and (shares[0], shares[-1]) == (0.0, pytest.approx(1.0))


def test_want_of_memory_is_said_in_words(monkeypatch):
    """What the machine cannot hold is refused with what to do, not with a trace."""

    def full(*_, **__):
        raise MemoryError

    monkeypatch.setattr(room, "weigh", full)
    with pytest.raises(CoresetError, match="close other programs, or ask for fewer resamples or draws"):
        assess(small(), **SIZES)


def test_a_study_that_bears_no_standard_is_told():
    """All readings of one study set aside: no standard rests on it, and the reader is told which study that is."""
    first, *rest = small().studies
    aside = tuple(
        Correction(seq=row.seq, action="exclude", value="", who="OB1", when="2026-11-25T10:00", why="a trial")
        for row in first.readings
    )
    told = assess(dataclasses.replace(small(), studies=(dataclasses.replace(first, corrections=aside), *rest)), **SIZES)
    assert first.study not in {standard.study for standard in told.standards}
    codes = [(warned.code, warned.blanks) for warned in told.warnings]
    assert ("nothing_whole", {"study": first.study}) in codes
    assert any(
        first.study in sentence and "no standard rests on it" in sentence for sentence in warnings(told.warnings)
    )


def test_without_a_timed_pattern_there_is_nothing_to_reckon():
    """No study at all: refused in words, not an empty answer."""
    with pytest.raises(OutOfRange, match="at least one pattern must be timed"):
        assess(dataclasses.replace(read(demo_folder()), studies=()))


def test_nothing_recommends_what_does_not_fit_the_limits():
    """A budget below the price of the setter: command, brief, JSON and workbook say not feasible, and none says buy."""
    import io

    from openpyxl import load_workbook

    from coreset.brief.content import content
    from coreset.brief.document import document
    from coreset.brief.screen import screen
    from coreset.brief.workbook import workbook
    from coreset.money.report.sentences import sentences

    case = small()
    poor = assess(dataclasses.replace(case, money=dataclasses.replace(case.money, budget=1_000.0)), **SIZES)
    brief, decided = content(poor, {}), document(poor)["decision"]
    told = "\n".join([decided["sentence"], *decided["lines"]])
    sheet = load_workbook(io.BytesIO(workbook(poor))).worksheets[0]
    cells = [str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value is not None]
    texts = [
        screen(poor),
        brief.headline,
        *(block.text for block in brief.one),
        told,
        *sentences(poor.money),
        *cells,
    ]
    said = "\n".join(texts)
    assert document(poor)["money"]["verdict"] == "not_feasible" and document(poor)["money"]["needs"][0]["has"] == 1_000
    for text in ("\n".join(block.text for block in brief.one) + brief.headline, told, screen(poor), "\n".join(cells)):
        assert "Not feasible" in text and "a budget of" in text
    assert "Buy the setter" not in said and "pays for" not in said and "buy" not in said.lower()


@pytest.mark.slow
def test_a_changed_price_leaves_the_rooms_before_money_as_they_are(monkeypatch):
    """Another price, margin or mask: nothing timed or simulated again, and the answer of a start from nothing."""
    case, ran = read(demo_folder()), []
    real = before.standards
    monkeypatch.setattr(before, "standards", lambda *a, **k: ran.append(1) or real(*a, **k))
    before.forget()
    first = assess(case, **SIZES)
    prices = replace(case.money, setter_price=Range.exactly(150_000.0), wage_per_h=Range.exactly(30.0))
    cheaper = replace(case.patterns[0], margin_per_casting=Range.exactly(9.0), mask_cost=Range.exactly(1.0))
    dearer = replace(case, money=prices, patterns=(cheaper, *case.patterns[1:]))
    stages = []
    kept = assess(dearer, **SIZES, progress=lambda stage, _: stages.append(stage))
    assert list(dict.fromkeys(stages)) == list(STAGES)
    assert len(ran) == 1 and kept.line is first.line and kept.money.npv != first.money.npv
    before.forget()
    anew = assess(dearer, **SIZES)
    assert len(ran) == 2 and anew.line is not first.line
    assert np.array_equal(anew.money.npv_draws, kept.money.npv_draws)
    assess(dearer, **SIZES | {"replications": 21})
    assess(dearer, **SIZES, seed=case.seed + 1)
    assess(replace(dearer, line=replace(case.line, days_per_year=case.line.days_per_year - 1)), **SIZES)
    assert len(ran) == 5 and len(before._ROOMS) == before.KEPT


def test_a_changed_volume_runs_the_line_of_its_own_pattern_alone(monkeypatch):
    """Another volume: nothing timed again, no other pattern run again, the answer of a start from nothing."""
    case, timed, run = read(demo_folder()), [], []
    standards, rates = before.standards, before.rates
    monkeypatch.setattr(before, "standards", lambda *a, **k: timed.append(1) or standards(*a, **k))
    monkeypatch.setattr(before, "rates", lambda c, rows, **k: run.append(c.patterns) or rates(c, rows, **k))
    before.forget()
    assess(case, **SIZES)
    run.clear()
    busier = replace(case.patterns[1], molds_per_year=Range.exactly(30_000.0), runs_per_year=20.0)
    changed = replace(case, patterns=(case.patterns[0], busier, *case.patterns[2:]))
    kept = assess(changed, **SIZES)
    assert len(timed) == 1 and [[p.pattern for p in each] for each in run] == [[busier.pattern]]
    before.forget()
    anew = assess(changed, **SIZES)
    assert np.array_equal(anew.money.npv_draws, kept.money.npv_draws)
    assert [(r.molds_per_h, r.good_per_shift) for r in anew.line] == [
        (r.molds_per_h, r.good_per_shift) for r in kept.line
    ]


def test_the_answer_has_the_numbers_of_the_assessment():
    """Carried to the verdict only: options, studies, verdict and its sentence are those of the whole."""
    case = read(demo_folder())
    money = replace(case.money, setter_price=Range(low=90e3, likely=140e3, high=260e3), discount_rate=0.11)
    for each in (case, replace(case, money=money), replace(case, money=replace(money, budget=1_000.0)), small()):
        whole, alone = assess(each, **SIZES), answered(each, **SIZES)
        for name in ("needs", "alternatives", "studies", "years", "discount_rate", "currency", "candidate"):
            assert repr(getattr(alone.money, name)) == repr(getattr(whole.money, name))
        assert np.array_equal(alone.money.worth_draws, whole.money.worth_draws)
        assert decide(alone).level == decide(whole).level
        assert headline.decision(alone) == headline.decision(whole)
        assert headline.figures(alone) == headline.figures(whole)
    assert answered(replace(case, money=NO_PRICES), **SIZES).money is None


def test_what_the_rooms_before_money_do_not_get_does_not_bear_on_them():
    """The line is the same, run by run, whether the case comes with its prices or without."""
    case = read(demo_folder())
    with_prices, without = (
        before._made(each, case.seed, (200, 40), lambda *_: None) for each in (case, before.without_prices(case))
    )
    for a, b in zip(with_prices.line, without.line, strict=True):
        assert np.array_equal(a.draws, b.draws)
    assert [r.li for r in with_prices.handling] == [r.li for r in without.handling]


def test_what_follows_from_an_assessment_is_made_once():
    """Asked for by every option of the verdict: 60 patterns took ten times as long when it was made each time."""
    found = assessed()
    assert found.jobs is found.jobs and found.register is found.register and found.bridges is found.bridges
