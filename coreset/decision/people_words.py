"""What must be done for people whatever is bought, and what the option does to their load. In: verdict. Out: words."""

from __future__ import annotations

import math
from typing import Any

from coreset.case import UNIT_SETS
from coreset.decision.exposure import LEVEL, MEASURES, ExposureChange
from coreset.decision.names import option_name, short
from coreset.decision.verdict import NOT_FEASIBLE, MustDo, Verdict
from coreset.lifting.report.actions import overdue_sentence
from coreset.report.numbers import number
from coreset.rounding import fixed
from coreset.text import say


def must_do(v: Verdict, assessment: Any) -> list[str]:
    """Lifts to change whatever is bought, with what would do it; then the actions that are overdue."""
    return [*_lifts(v, assessment), *_overdue(assessment)]


def _overdue(assessment: Any) -> list[str]:
    """Actions that are overdue on the day on which this is read; on the day of the case where that is not known."""
    late = overdue_sentence(assessment.case.actions, assessment.day or assessment.case.date)
    return [late] if late else []


def _lifts(v: Verdict, assessment: Any) -> list[str]:
    return [_lift(row, assessment.case.currency) for row in v.must_do]


def _lift(row: MustDo, currency: str) -> str:
    cost = f"{number(row.cost)} {currency}"
    remedy = say("decision.must_do.remedy", method=row.method, cost=cost) if row.method else ""
    if (agreed := row.action) is not None:
        remedy = say("decision.must_do.agreed", change=agreed.change, owner=agreed.owner, due=agreed.due)
    index = "" if math.isinf(row.index) else fixed(row.index, 2)
    return say(
        f"decision.must_do.{'high' if index else 'zero'}",
        task=row.task,
        pattern=short([row.pattern]),
        index=index,
        remedy=remedy or say("decision.must_do.no_remedy"),
    )


def load(v: Verdict, assessment: Any) -> list[str]:
    """What the option does to the load on people: minutes, mass and index of a shift, better or worse; the patterns."""
    if v.people is None or v.level == NOT_FEASIBLE or not assessment.case.lifts:
        return []
    option, change = option_name(v.option, assessment.money.candidate), v.people.shift
    units = load_heads(assessment)
    parts = "; ".join(say(f"decision.load.{name}", **_sides(change, name), **units) for name in MEASURES)
    said = [say("decision.load.line", option=option, parts=parts)]
    if v.people.heavier:
        said.append(say("decision.load.heavier", patterns=short(v.people.heavier), option=option))
    return [" ".join(said)]


def load_rows(v: Verdict, assessment: Any) -> list[list[str]]:
    """Load before and after, one row for the mean shift and for each pattern that goes over; none without lifts."""
    if v.people is None or not assessment.case.lifts:
        return []
    return [
        [change.pattern or say("decision.load.shift"), *(_cell(change, name) for name in MEASURES)]
        for change in (v.people.shift, *v.people.jobs)
    ]


def load_heads(assessment: Any) -> dict[str, str]:
    """Level of the index and unit of mass, as the sentence and the heads of the table name them."""
    return {"level": fixed(LEVEL, 1), "unit": UNIT_SETS[assessment.case.units]["mass"]}


def _cell(change: ExposureChange, name: str) -> str:
    return say("decision.load.cell", **_sides(change, name))


def _sides(change: ExposureChange, name: str) -> dict[str, str]:
    """A measure before and after, and whether it gets better."""
    write = load_text if name != "index" else index_in_words
    before, after = (write(getattr(side, name)) for side in (change.before, change.after))
    return {"before": before, "after": after, "verdict": say(f"decision.load.{change.verdict(name)}")}


def load_text(value: float) -> str:
    """Minutes or mass of a shift, in whole units."""
    return say("decision.load.no_value") if math.isnan(value) else number(value, 0)


def index_in_words(value: float) -> str:
    """A highest index: infinite where nothing may be lifted."""
    if math.isnan(value):
        return say("decision.load.no_value")
    return say("decision.load.zero") if math.isinf(value) else fixed(value, 2)


def people(v: Verdict, assessment: Any) -> list[str]:
    """What the option does to the load, and what must be done whatever is decided: one line; none without either."""
    said, rows = [], _lifts(v, assessment)
    if rows:
        rest = [say("decision.must_do.more", count=len(rows) - 1)] if len(rows) > 1 else []
        said.append(say("decision.must_do.line", parts="; ".join([rows[0], *rest])))
    said = [*load(v, assessment), *said, *_overdue(assessment)]
    return [" ".join(said)] if said else []
