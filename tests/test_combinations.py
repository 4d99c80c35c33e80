"""Options of two steps: some patterns improved by hand, others over to the setter, valued on the same runs."""

from dataclasses import replace

import numpy as np
import pytest
from plant import parts

from coreset.brief.document import document
from coreset.case import Option, Range
from coreset.decision.headline import decision, figures, lines
from coreset.decision.verdict import decide
from coreset.errors import StudyError
from coreset.money.evaluate import weigh
from coreset.store.folder import build, plain, read, write
from tests.test_decision import changed, demo

HAND = "manual, redesigned"


def row_of(a, name):
    """Worth in each run, and the row of an option."""
    place = next(i for i, row in enumerate(a.money.alternatives) if row.name == name)
    return a.money.worth_draws[:, place + 1], a.money.alternatives[place]


def free_hand(case):
    """The methods of a case, that by hand at no cost."""
    return tuple(replace(m, step_cost=0.0) if m.method == HAND else m for m in case.methods)


def test_the_patterns_of_the_purchase_by_name_are_the_purchase_in_each_run():
    """Alone; and with the others "improved" by a method that is no faster and free: nothing moves in any run."""
    chosen = demo().money.alternatives[0].patterns
    rest = tuple(p.pattern for p in demo().case.patterns if p.pattern not in chosen)
    both = (
        Option(option="by name", patterns=chosen),
        Option(option="and by hand", patterns=chosen, by_hand=rest, hand_method=HAND),
    )
    a = changed(options=both, methods=free_hand(demo().case))
    for name in ("by name", "and by hand"):
        worth, row = row_of(a, name)
        np.testing.assert_allclose(worth, a.money.worth_draws[:, 1], rtol=0, atol=1e-6)
        assert dict(zip(row.patterns, row.methods, strict=True)).items() >= dict.fromkeys(chosen, "core setter").items()


def two_steps(**of):
    """The invented plant with a faster method by hand, and an option of BOX by the setter and HUB by hand."""
    case, standards, cycles, speed, tasks = parts(budget=None)
    faster = [replace_rate(row) for row in speed if row.method == "manual"]
    option = Option(option="both", patterns=("BOX",), by_hand=("HUB",), hand_method="quicker", **of)
    alone = Option(option="setter", patterns=("BOX",), **of)
    hand = Option(option="hand", method="quicker", patterns=("HUB",))
    methods = (*case.methods, replace(case.methods[0], method="quicker", mechanised=False, step_cost=9_000.0))
    line = replace(case.line, saved_hours_used=False, shifts_per_day=3)
    case = replace(case, options=(option, alone, hand), methods=methods, line=line)
    return weigh(case, standards, cycles, [*speed, *faster], tasks, draws=400)


def replace_rate(row):
    """A rate by hand a tenth higher, under another method."""
    from types import SimpleNamespace

    return SimpleNamespace(**{**vars(row), "method": "quicker", "molds_per_h": row.molds_per_h * 1.1,
                              "draws": row.draws * 1.1})  # fmt: skip


def test_where_the_line_has_hours_to_spare_the_two_steps_add_up():
    """Nothing more is sold: worth, first cost and saving are those of both alone, in each run."""
    found = two_steps()
    worth = {row.name: found.worth_draws[:, i + 1] for i, row in enumerate(found.alternatives)}
    rows = {row.name: row for row in found.alternatives}
    for figure in ("first_cost", "yearly_saving"):
        alone = sum(getattr(rows[name], figure) for name in ("setter", "hand"))
        assert getattr(rows["both"], figure) == pytest.approx(alone)
    np.testing.assert_allclose(worth["both"], worth["setter"] + worth["hand"], rtol=1e-9, atol=1e-3)
    assert rows["both"].patterns == ("HUB", "BOX") and rows["both"].methods == ("quicker", "core setter")
    assert not np.allclose(worth["both"], worth["setter"])


def test_both_costs_are_held_against_the_budget():
    """The setter alone fits, both do not."""
    cost = row_of(demo(), "core setter")[1].first_cost
    option = Option(option="both", patterns=("HB10", "VB24", "MF15"), by_hand=("GC07",), hand_method=HAND)
    a = changed(options=(option,), money={"budget": cost + 5_000.0})
    _, row = row_of(a, "both")
    (need,) = row.needs
    assert need.limit == "budget" and need.least == pytest.approx(cost + 16_500.0, rel=0.01)
    assert need.has == cost + 5_000.0 and not row_of(a, "core setter")[1].needs


def test_a_pattern_improved_by_hand_is_no_longer_to_be_changed():
    """The gear case by the redesigned method: valued, said, and gone from what must be done."""
    option = Option(
        option="both", patterns=("HB10", "VB24"), by_hand=("GC07",), hand_method=HAND, rule="must do", reason="safety"
    )
    a = changed(options=(option,), money={"budget": 500_000.0})
    v = decide(a)
    assert v.option.name == "both" and v.must_do == () and demo().verdict.must_do != ()
    assert "GC07 by “manual, redesigned”." in " ".join(lines(a)) and "GC07" in decision(a)
    told = document(a)["decision"]
    assert dict(zip(told["patterns"], told["methods"], strict=True))["GC07"] == HAND
    assert "masks for 2 patterns" in figures(a)[0].interval.replace("\N{NO-BREAK SPACE}", " ")
    cores = next(row for row in v.constraints if row.key == "cores")
    assert "GC07" not in cores.of


def test_a_table_of_two_steps_is_read_back(tmp_path):
    """Written and read, the option is the same."""
    option = Option(option="both", by_hand=("GC07", "PC03"), hand_method=HAND, setter_price=Range.exactly(1.0))
    write(replace(demo().case, options=(option,)), tmp_path / "case")
    assert read(tmp_path / "case").options == (option,)


@pytest.mark.parametrize(
    ("wrong", "column"),
    [
        ({"by_hand": ("GC07",), "hand_method": "core setter"}, "hand_method"),
        ({"by_hand": ("GC07",)}, "hand_method"),
        ({"hand_method": HAND}, "by_hand"),
        ({"patterns": ("GC07",), "by_hand": ("GC07",), "hand_method": HAND}, "by_hand"),
        ({"by_hand": ("XX",), "hand_method": HAND}, "by_hand"),
    ],
)
def test_two_steps_that_cannot_be_are_refused(wrong, column):
    """By row and column."""
    case = replace(demo().case, options=(Option(option="both", **wrong),))
    with pytest.raises(StudyError) as error:
        build(plain(case))
    assert column in {fault.column for fault in error.value.faults}
