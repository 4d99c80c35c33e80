"""A list of the case as a grid: rows pasted from a spreadsheet, saved together, faults by row and column above it."""

from typing import Any

import streamlit as st

from coreset.errors import StudyError
from coreset.forms.grid import GridColumn, from_grid, grid_columns, grid_rows
from coreset.forms.merge import rows_in_words
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session

WRONG = "grid_wrong"
SETS = ("in_use", "volumes", "all")


def show(case: Any, place: str, name: str) -> None:
    """The grid of one list.

    Parameters
    ----------
    case : Case
        As it is now.
    place, name : str
        The list, and what it is called.
    """
    form = session.form_of("grid", place)
    base = session.opened_form(form)
    st.subheader(say("front.grid.title", name=name), anchor=False)
    columns = grid_columns(base, place)
    sets = [one for one in SETS if one != "volumes" or place == "patterns"]
    chosen = st.segmented_control(
        say("front.grid.columns"),
        sets,
        default=sets[0],
        required=True,
        format_func=_set_name,
        key=f"{form}.columns",
        help=say("front.grid.columns_help"),
    )
    st.caption(say("front.grid.how"))
    _faults(form, columns)
    rows = st.data_editor(
        session.once(lambda: grid_rows(base, place), "grid", place, session.revision()),
        num_rows="dynamic",
        hide_index=False,
        width="stretch",
        key=f"{form}.rows",
        column_order=[one.name for one in columns if _shown(one, chosen)],
        column_config={one.name: st.column_config.TextColumn(one.label, help=one.help) for one in columns},
        disabled=not session.may("edit"),
    )
    with st.container(key=f"save_bar_{place}"):
        if st.button(say("front.grid.save", name=name), type="primary", disabled=not session.may("edit")):
            _save(base, case, place, rows, form)


def _set_name(name: str) -> str:
    return say(f"front.grid.{name}")


def _shown(one: GridColumn, chosen: str) -> bool:
    return {"in_use": one.in_use, "volumes": one.volume, "all": True}[chosen]


def _save(base: Any, case: Any, place: str, rows: Any, form: str) -> None:
    try:
        new = from_grid(base, case, place, rows)
    except StudyError as error:
        st.session_state[WRONG] = (form, error)
        st.rerun()
    with session.told():
        before, after = getattr(case, place), getattr(new, place)
        session.keep(new, rows_in_words(place, before, after, case.units, case.currency))
    st.rerun()


def _faults(form: str, columns: tuple[GridColumn, ...]) -> None:
    """What was wrong when it was saved last: row, column by its label, what was found and what was expected."""
    of, error = st.session_state.get(WRONG, ("", None))
    if of != form or error is None:
        return
    labels = {one.name: one.label for one in columns}
    st.error(layout.plain(say("front.grid.wrong", count=len(error.faults))))
    results.rows(
        [
            {
                say("front.grid.row"): str(fault.row or ""),
                say("front.grid.column"): labels.get(fault.column or "", fault.column or ""),
                say("front.fault.found"): fault.found,
                say("front.fault.expected"): fault.expected,
            }
            for fault in error.faults
        ]
    )
