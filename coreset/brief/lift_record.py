"""The one-page record of a lifting job, and the card for its station. In: an assessment and a job. Out: PDF."""

from __future__ import annotations

from collections.abc import Iterable
from textwrap import shorten
from typing import Any

from coreset.brief import workings
from coreset.brief.content import PAPER, in_style
from coreset.brief.photo import photo
from coreset.brief.pictures import Picture, picture
from coreset.case import UNIT_SETS, Action
from coreset.case.action import of_job
from coreset.lifting import redesign, task_values
from coreset.lifting.charts.indices import ideal_effects
from coreset.lifting.charts.side_view import side_view
from coreset.lifting.report import redesign as words
from coreset.lifting.report.actions import job_of
from coreset.lifting.report.job_status import job_index_text, reason_words, status_words
from coreset.lifting.report.sentences import rank
from coreset.lifting.report.status import index_text
from coreset.lifting.screen import standard_seconds
from coreset.report.blocks import Block, Content, heads, table, text
from coreset.report.numbers import styled
from coreset.report.working_rows import working_cells
from coreset.rounding import fixed
from coreset.text import say

HALF_PAGE = 260
"""Width of a chart that stands beside another, so that its words can be read."""
MOST_LIFTS, MOST_ACTIONS, MOST_LETTERS = 5, 3, 60
"""Rows of lifts and of actions, and letters of a text in them, that one page has room for."""
MOST_SUM = 3
"""Lines of what each lift of a job adds."""


def record_pdf(assessment: Any, job: Any, shown: str = "") -> bytes:
    """One page on a job: sketch, data, working of its worst lift, status, limits of the method, measures, signatures.

    Parameters
    ----------
    assessment : Assessment
    job : JobStatus
        A job of a pattern.
    shown : str
        A photo of it as a data address, put beside the sketch; empty takes the one that is stored with its actions.

    Returns
    -------
    bytes
        PDF/UA-1, as the brief.
    """
    from coreset.report.pdf import pdf

    shown = shown or next((one.picture for one in actions_of(assessment.case, job) if one.picture), "")
    found = _pictures(assessment, job) | ({"photo": photo(shown)} if shown else {})
    return pdf(_content(assessment, job, _record(assessment, job, found), "brief.record.title"), found)


def card_pdf(assessment: Any, job: Any) -> bytes:
    """The card for the station in large print: the sketch of the worst lift and three lines; parameters as above."""
    from coreset.report.pdf import pdf

    found = _pictures(assessment, job)
    sketch = [Block(kind="picture", pictures=("side",))] if "side" in found else []
    blocks = [*map(text, _card(assessment, job)), *sketch, text(say("brief.record.card_note"))]
    return pdf(_content(assessment, job, blocks, "brief.record.card", large=True), found)


def _content(assessment: Any, job: Any, blocks: Iterable[Block], title: str, *, large: bool = False) -> Content:
    case = assessment.case
    headline = job_of(job) if large else say("brief.record.headline", job=job_of(job), status=status_words(job))
    return Content(
        title=say(title),
        line=styled(" · ".join(filter(None, [case.title, case.plant, case.date])), case),
        headline=styled(headline, case),
        language="en",
        paper=PAPER[case.units],
        one=in_style(tuple(blocks), case),
        two=(),
        annex=(),
        large=large,
    )


def own_lifts(assessment: Any, job: Any) -> list[tuple[Any, Any]]:
    """Screened lifts of a job with the lifts of the case, worst first."""
    pairs = zip(assessment.handling, assessment.case.lifts, strict=True)
    own = [(row, lift) for row, lift in pairs if (row.pattern, row.method) == (job.pattern, job.method)]
    return sorted(own, key=lambda pair: rank(pair[0]))


def _pictures(assessment: Any, job: Any) -> dict[str, Picture]:
    """Sketch of the worst lift that is lifted by hand, to scale, and what would improve it most."""
    case = assessment.case
    worst = next((pair for pair in own_lifts(assessment, job) if pair[0].applies), None)
    if worst is None:
        return {}
    task = task_values.task_at(case, worst[1], worst[0])
    ideals = words.ideal_rows(redesign.ideal_multipliers(task))
    now = words.known(float(task_values.index_of(task)))
    effects = ideal_effects(ideals, now, case.place.lifting_index_limit)
    return {
        "side": picture("side", side_view(task_values.linked(task), case.units)),
        "effects": picture("effects", effects.properties(width=HALF_PAGE)),
    }


def _record(assessment: Any, job: Any, pictures: dict[str, Picture]) -> list[Block]:
    """The blocks of the record, top to bottom."""
    own = own_lifts(assessment, job)
    because = say("brief.record.because", index=job_index_text(job), reason=reason_words(job) or "–")
    found = [text(because)]
    beside = [name for name in ("side", "photo", "effects") if name in pictures][:2]
    found += [Block(kind="pair", pictures=tuple(beside))] if beside else []
    found += _data(assessment.case, own)
    found += _working(assessment, own)
    found += _whole_job(assessment, job)
    found += _measures(assessment.case, job)
    return [*found, text(say("handling.caution.page")), _signatures(assessment.case, job)]


def _data(case: Any, own: list[tuple[Any, Any]]) -> list[Block]:
    """Every lift with what was measured and what it comes to."""
    units = UNIT_SETS[case.units]
    shown = [[*_measured(row, lift), *_rated(row)] for row, lift in own[: _room(own)]]
    found = table("record_lifts", shown, mass=units["mass"], length=units["length"])
    more = len(own) - len(shown)
    return [*found, *([text(say("brief.record.more", count=more))] if more > 0 else [])]


def _room(own: list[tuple[Any, Any]]) -> int:
    """Lifts that are shown: one fewer where the sum of a long job takes a line."""
    return MOST_LIFTS if len(own) <= MOST_LIFTS else MOST_LIFTS - 1


def _measured(row: Any, lift: Any) -> list[str]:
    ends = [
        " / ".join(fixed(getattr(lift, f"{name}_{end}{unit}")) for name, unit in
                   (("horizontal", ""), ("vertical", ""), ("asymmetry", "_deg")))
        for end in ("origin", "destination")
    ]  # fmt: skip
    return [_cut(row.task), fixed(row.mass, 1), fixed(row.frequency_per_min, 2), row.duration, *ends, lift.coupling]


def _rated(row: Any) -> list[str]:
    rwl = "–" if row.rwl is None else fixed(row.rwl, 1)
    if not row.applies:
        return [rwl, say("handling.status.not_covered_short")]
    return [rwl, index_text(row.li, row.at_least) if row.li is not None else say("handling.job.zero")]


def _working(assessment: Any, own: list[tuple[Any, Any]]) -> list[Block]:
    """Working of the worst lift at the end that governs."""
    worst = next((row for row, _ in own if row.applies), None)
    if worst is None:
        return []
    lines = dict(workings.of_lift(assessment, worst))[worst.end]
    title = say("brief.record.working", task=worst.task, end=say(f"handling.end.{worst.end}"))
    return [Block(kind="table", text=title, rows=(heads("working"), *working_cells(lines)))]


def _whole_job(assessment: Any, job: Any) -> list[Block]:
    """The single lifts in the order of the sum, what each adds, and the sum; nothing for a job of one lift."""
    standard_s = standard_seconds(assessment.pooled.values()).get((job.pattern, job.method))
    lines = workings.of_job(assessment, job.pattern, job.method, standard_s=standard_s)
    added = [line for line in lines if line.symbol != "FILI"]
    if not added:
        return []
    if len(added) - 1 > MOST_LIFTS:  # the page is full: the sum alone, as a line
        last = added[-1]
        return [text(say("brief.record.whole_sum", kind=last.symbol, numbers=last.numbers, index=fixed(last.value, 2)))]
    shown = [*added[: min(MOST_SUM, len(added) - 1)], added[-1]]
    title = say("brief.record.whole_job", count=len(added) - 1, shown=len(shown) - 1)
    return [Block(kind="table", text=title, rows=(heads("working"), *working_cells(shown)))]


def _measures(case: Any, job: Any) -> list[Block]:
    """What was agreed about the job, newest day first, with the index before and after."""
    own = actions_of(case, job)
    if not own:
        return [text(say("brief.record.no_action"))]
    shown = [
        [
            _cut(one.change),
            one.owner,
            one.due,
            say(f"handling.action.state.{one.state}"),
            index_text(one.index_before),
            index_text(one.index_after),
            one.measured or "–",
            _cut(one.photo) or "–",
        ]
        for one in own[:MOST_ACTIONS]
    ]
    return table("record_actions", shown)


def _cut(words: str) -> str:
    return shorten(words, MOST_LETTERS, placeholder=say("front.number.cut"))


def actions_of(case: Any, job: Any) -> list[Action]:
    """Actions of a job, the latest day first."""
    return of_job(case.actions, job.pattern, job.method)


def _signatures(case: Any, job: Any) -> Block:
    """Assessor, date and day of the next assessment as entered; a line to write on where they are not."""
    own = actions_of(case, job)
    latest = max((one for one in own if one.assessed), key=lambda one: one.assessed, default=None)
    said = {
        "assessor": latest.assessor if latest else "",
        "assessed": latest.assessed if latest else "",
        "reassess": latest.reassess_by if latest else "",
    }
    return Block(
        kind="sign", rows=tuple((say(f"brief.record.sign.{key}", value=value),) for key, value in said.items())
    )


def _card(assessment: Any, job: Any) -> list[str]:
    """Three lines for the station: load and limit, what to watch, what will change or whom to tell."""
    own = own_lifts(assessment, job)
    row = next((row for row, _ in own if row.applies), None)
    unit = UNIT_SETS[assessment.case.units]["mass"]
    if row is None:
        aid = "hoist" if any(lift.hoist for _, lift in own) else "ask"
        return [say("brief.record.card_none"), say(f"brief.record.card_{aid}"), say("brief.record.card_tell")]
    zero = row.li is None
    first = say(
        f"brief.record.card_{'zero' if zero else 'load'}",
        task=row.task,
        mass=fixed(row.mass, 1),
        rwl=fixed(row.rwl or 0.0, 1),
        unit=unit,
    )
    watch = say("brief.record.card_ask") if zero else say(f"brief.record.watch.{row.binding or 'none'}")
    open_ = next((one for one in reversed(actions_of(assessment.case, job)) if one.state == "open"), None)
    last = (
        say("brief.record.card_change", change=open_.change, due=open_.due) if open_ else say("brief.record.card_tell")
    )
    return [first, watch, last]
