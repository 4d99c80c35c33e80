"""What must be done for people whatever is bought, and what the option does to their load. In: verdict. Out: words."""

from __future__ import annotations

import math
from typing import Any

from coreset.case import UNIT_SETS
from coreset.decision.exposure import LEVEL, MEASURES, Change
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
    parts = "; ".join(_measure(change, name, assessment.case.units) for name in MEASURES)
    said = [say("decision.load.line", option=option, parts=parts)]
    if v.people.heavier:
        said.append(say("decision.load.heavier", patterns=short(v.people.heavier), option=option))
    return [" ".join(said)]


def _measure(change: Change, name: str, units: str) -> str:
    write = load_text if name != "index" else index_in_words
    before, after = (write(getattr(side, name)) for side in (change.before, change.after))
    verdict = say(f"decision.load.{change.verdict(name)}")
    level, unit = fixed(LEVEL, 1), UNIT_SETS[units]["mass"]
    return say(f"decision.load.{name}", before=before, after=after, verdict=verdict, level=level, unit=unit)


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
