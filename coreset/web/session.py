"""The case that is open, what follows from it, and keeping a change with its undo: all that pages know of the book."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import chain, count
from typing import Any

import streamlit as st

from coreset.brief.case_status import empty_case
from coreset.case import Case
from coreset.errors import BookError
from coreset.store.book import CaseRow
from coreset.store.book.rows import today
from coreset.text import ask, language, say
from coreset.web.assessments import answer_of, assessment_of, content, made, written
from coreset.web.calculation import answered
from coreset.web.opened import (
    BASE,
    CASE_VARIABLE,
    as_kept,
    book,
    case,
    case_id,
    cases_of_plant,
    decimal,
    films,
    in_manner,
    is_new,
    is_read,
    may,
    now,
    open_case,
    open_demo,
    read,
    ready,
    revision,
    sees_prices,
)
from coreset.web.person import who

__all__ = [
    "BASE",
    "CASE_VARIABLE",
    "answer_of",
    "as_kept",
    "assessment",
    "assessment_of",
    "begin",
    "begin_forms",
    "begin_own",
    "book",
    "case",
    "case_id",
    "cases_of_plant",
    "change_input",
    "changed_inputs",
    "drop_inputs",
    "compared",
    "form_of",
    "opened_form",
    "content",
    "decimal",
    "films",
    "in_manner",
    "is_new",
    "is_read",
    "keep",
    "last_change",
    "last_kept",
    "last_refused",
    "lifting",
    "may",
    "note_verdict",
    "noted_verdict",
    "now",
    "offer_of",
    "once",
    "open_case",
    "open_demo",
    "read",
    "ready",
    "revision",
    "save_as",
    "sees_prices",
    "start",
    "today",
    "told",
    "undo",
    "who",
    "worded",
]
KEPT, REFUSED = "kept", "refused"
INPUTS = "changed_inputs"
ask(lambda: st.context.locale or "")  # a person reads the language of the own browser, where it is there
SAVES, FORM_BASE = "form_saves", "form_base"


def begin(name: str, new: Case) -> None:
    """Keep a new case under a name and open it; one that the book has is opened as it is."""
    with told():
        if not book().revision(name):
            book().keep(name, new, who=who(), why=say("front.case.begun"), base=0)
        open_case(name)


def begin_own(stem: str, new: Case) -> None:
    """Open the case of that name that the person began before, or begin one beside those of others."""
    with told():
        by, opened = who(), book()
        names = [row.case_id for row in opened.cases() if row.case_id.startswith(stem)]
        mine = next((name for name in names if opened.trail(name)[-1].who == by), "")
        free = (name for name in chain([stem], (f"{stem}-{n}" for n in count(2))) if name not in names)
        begin(mine or next(free), new)


@contextmanager
def told() -> Iterator[None]:
    """What the book refuses is kept to be told when the page is drawn next."""
    try:
        yield
    except BookError as error:
        st.session_state[REFUSED] = str(error)


def last_refused() -> str:
    """What the book refused since the page was last drawn, told once."""
    return st.session_state.pop(REFUSED, "")


def start(name: str) -> None:
    """Begin an empty case."""
    begin(name, empty_case(name))


def assessment() -> Any:
    """What follows from the open case; calculated once for the same content."""
    return assessment_of(case())


def lifting() -> Any:
    """What follows from the open case on lifting: its assessment; the lifts alone where nothing is timed yet."""
    from coreset.assess import lifting_alone  # not with the frame of the page: it loads the array library

    if any(len(study.readings) for study in case().studies):
        return assessment()
    return once(lambda: lifting_alone(case()), "lifting")


def once(make: Callable[[], Any], *of: object) -> Any:
    """What is made of the open case and what was chosen, made once for the same content; nobody may change it.

    Parameters
    ----------
    make : callable
        Makes it.
    *of
        Its name, then all that was chosen for it.
    """
    return made(content(case()), repr((language(), *of)), make)


def worded(write: Callable[[], Any], *of: object) -> Any:
    """Text that follows from the open case and what was chosen, written once for the same content; as `once`.

    Texts are small and many, so that they are kept apart from what is large.
    """
    return written(content(case()), repr((language(), *of)), write)


def compared() -> dict[str, Any]:
    """Both methods against each other by pattern, of the open case; calculated once for the same content."""
    from coreset.study.method_pairs import pairs

    found, known = case(), assessment()
    return once(lambda: {pair.pattern: pair for pair in pairs(found, known.counting, known.pooled)}, "pairs")


@st.cache_resource(show_spinner=False)
def _verdicts() -> dict[tuple[str, str], str]:
    """Verdicts shown since the start of the server, by case and mark of its content; shared by sessions with prices."""
    return {}


def note_verdict(level: str) -> None:
    """Remember the verdict of the open case as it is now, for lists of cases."""
    if sees_prices():
        _verdicts()[case_id(), book().stamp(case_id())] = level


def noted_verdict(name: str) -> str:
    """The verdict of any case, where it was shown since the case last changed; else empty."""
    return _verdicts().get((name, book().stamp(name)), "") if sees_prices(name) else ""


def offer_of(name: str) -> Any:
    """What a case of the database offers to a portfolio; made once for the same state, day and sight of its prices."""
    from coreset.decision.headline import decision  # not with the frame of the page: it loads the array library
    from coreset.decision.portfolio import offer

    def make() -> Any:
        found = answered(book().open(name), day=today())
        return offer(found, decision(found))

    return made(f"{name} {book().stamp(name)} {today()} {sees_prices(name)}", "offer", make)


def keep(changed: Case, why: str) -> int:
    """Keep a changed case under the person's code; refused without one, or if somebody else kept it since it was shown.

    Call it in a callback, or follow it by `st.rerun()`.
    """
    base = st.session_state.get(BASE)
    revision = book().keep(case_id(), changed, who=who(), why=why, base=base)
    st.session_state[KEPT] = why
    begin_forms()
    return revision


def save_as(name: str, new: Case) -> None:
    """Save a changed case under a name of its own; the open one stays open and as it is.

    Raises
    ------
    BookError
        If the name is taken, or cannot be one.
    """
    if book().revision(name):
        raise BookError(say("money.live.taken", name=name))
    book().keep(name, new, who=who(), why=say("front.case.begun"), base=0)
    st.session_state[KEPT] = say("money.live.scenario_saved", name=name)


def changed_inputs() -> dict[str, float]:
    """Inputs of the open case that were changed on Business case and not saved, by name, with their new values."""
    return dict(st.session_state.get(INPUTS, {}).get(_as_opened(), {}))


def change_input(name: str, value: float | None) -> None:
    """Take a changed input as it was typed; None takes its change back."""
    values = {**changed_inputs(), name: value}
    st.session_state[INPUTS] = {_as_opened(): {key: kept for key, kept in values.items() if kept is not None}}


def drop_inputs() -> None:
    """Go back to the inputs as they are saved."""
    st.session_state.pop(INPUTS, None)


def _as_opened() -> tuple[str, int]:
    return case_id(), st.session_state.get(BASE, 0)


def undo() -> None:
    """Go back by one kept change; readings and their corrections stay."""
    with told():
        book().undo(case_id(), who=who(), base=st.session_state.get(BASE))
        st.session_state[KEPT] = say("front.undone")
        begin_forms()


def last_change() -> CaseRow | None:
    """The change of the open case that undo takes back; None where there is none."""
    trail = book().trail(case_id())
    return next((row for row in trail if row.revision == trail[0].shows and row.revision > 1), None)


def form_of(*of: str | None) -> str:
    """Name of a form of the open case by what it edits; another after each save or undo, so that it shows the case."""
    return ".".join([case_id(), *map(str, of), str(st.session_state.get(SAVES, 0))])


def opened_form(form: str) -> Case:
    """The case as it was when the form was opened: what is typed is compared with that, whatever others save.

    A form whose fields were not drawn in the run before is opened anew, on the case as it is.
    """
    drawn = any(str(key).startswith(f"{form}.") for key in st.session_state)  # else it is opened, or opened anew
    base = st.session_state.get(f"{FORM_BASE}.{form}", revision()) if drawn else revision()
    st.session_state[f"{FORM_BASE}.{form}"] = base
    return case() if base == revision() else as_kept(base)


def begin_forms() -> None:
    """Let forms begin anew, on what was saved."""
    st.session_state[SAVES] = st.session_state.get(SAVES, 0) + 1


def last_kept() -> str:
    """What was kept since the page was last drawn, told once."""
    return st.session_state.pop(KEPT, "")
