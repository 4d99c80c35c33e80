"""What was promised is kept at the approval: the post-audit compares with it, whatever the case becomes."""

from dataclasses import replace

import jsonschema
import pytest
from brief_case import Given, assessment
from plant import parts
from typer.testing import CliRunner

from coreset.brief.document import document, schema
from coreset.case import Actual, Range
from coreset.cli.command import app
from coreset.errors import CoresetError
from coreset.money.evaluate import weigh
from coreset.money.post_audit import audit
from coreset.money.promise import promise_rows, promised
from coreset.money.reforecast import reforecast
from coreset.store.folder import read
from coreset.store.folder.plain import build, plain
from coreset.store.folder.writer import write

PAID = (Actual(year=1, item="labour", amount=20_000.0, origin="payroll"),)


def weighed(**money):
    """The test plant with other money."""
    case, *others = parts()
    case = replace(case, money=replace(case.money, **money))
    return case, weigh(case, *others, draws=300)


def test_stored_rows_are_audited_like_the_decision(tmp_path):
    """Written to a folder and read back; wages and pay went up since."""
    case, before = weighed()
    write(replace(case, promised=promise_rows(before, "PM1", "2026-03-31")), tmp_path / "plant")
    kept = promised(read(tmp_path / "plant").promised)
    _, now = weighed(wage_per_h=Range.exactly(2.0 * case.money.wage_per_h.likely))
    assert (kept.who, kept.day, kept.years) == ("PM1", "2026-03-31", before.years)
    rows, expected = audit(kept, now, PAID), audit(before, now, PAID)
    assert [(r.kind, r.item, r.year, r.within, r.basis) for r in rows] == [
        (r.kind, r.item, r.year, r.within, r.basis) for r in expected
    ]
    assert [r.promised for r in rows] == pytest.approx([r.promised for r in expected])
    found, told = reforecast(kept, now, PAID), reforecast(before, now, PAID)
    assert found.reasons == pytest.approx(told.reasons) and found.reasons["price"] and found.promised == told.promised


def test_the_document_compares_with_what_was_approved():
    """The promise of the case as it stands moves with the case, that of the approval does not."""
    a = assessment()
    rows, paid = promise_rows(a.money, "PM1", "2026-03-31"), (Actual(year=1, item="labour", amount=1.0, origin="p"),)
    _, other = weighed(wage_per_h=Range.exactly(99.0))
    told = {
        name: document(Given(**{**vars(a), "money": other, "case": replace(a.case, actuals=paid, promised=given)}))
        for name, given in (("approved", rows), ("not", ()))
    }
    for one in told.values():
        jsonschema.validate(one, schema())
    worth = {
        name: next(r for r in one["audit"]["rows"] if r["item"] == "npv")["promised"] for name, one in told.items()
    }
    assert worth == {"approved": pytest.approx(a.money.npv_at_means), "not": pytest.approx(other.npv_at_means)}
    assert told["approved"]["audit"]["approved"] == {"who": "PM1", "day": "2026-03-31"}
    assert told["not"]["audit"]["approved"] is None


@pytest.mark.parametrize(("drop", "place"), [("npv", "item"), ("labour", "amount")])
def test_a_promise_that_is_not_whole_is_refused(drop, place):
    """A figure that is missing, or a number, is a fault with its row and column."""
    case, before = weighed()
    rows = promise_rows(before, "PM1", "2026-03-31")
    rows = [replace(r, amount=None) if r.item == drop and r.kind == "item" else r for r in rows]
    rows = tuple(r for r in rows if not (r.kind == "figure" and r.item == drop))
    with pytest.raises(CoresetError) as caught:
        build(plain(replace(case, promised=rows)), file="plant")
    assert any(fault.column == place for fault in caught.value.faults)


@pytest.mark.slow
def test_the_command_stores_it_once(tmp_path):
    """A name is no code; what is stored is replaced only on purpose."""
    write(read("studies/ostrander_bend"), tmp_path / "line")
    run = lambda *more: CliRunner().invoke(app, ["approve", str(tmp_path / "line"), "-q", *more])  # noqa: E731
    assert isinstance(run("--by", "Anna Smith").exception, CoresetError)
    assert run("--by", "PM1").exit_code == 0
    assert promised(read(tmp_path / "line").promised).who == "PM1"
    assert "--replace" in str(run("--by", "PM2").exception)
