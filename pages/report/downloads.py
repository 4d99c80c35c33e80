"""What can be taken along from a case; each file is made when it is asked for."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable
from html import escape
from typing import Any

import streamlit as st

from coreset.brief import dataset, document
from coreset.brief.case_status import only_here
from coreset.brief.detail import detail
from coreset.brief.every_chart import drawn, every
from coreset.brief.pictures import pictures
from coreset.brief.rendered import html, pdf, sheets
from coreset.brief.workbook import workbook
from coreset.case.codes import safe_name, with_safe_codes
from coreset.pages.parts import layout
from coreset.text import say
from coreset.web import session


def makers(found: Any) -> dict[str, Callable[[], bytes]]:
    """How each file is made, by the end of its name."""
    return {
        "brief.pdf": lambda: pdf(found, pictures(found)),
        "long.pdf": lambda: pdf(found, pictures(found), full=True),
        "brief.html": lambda: html(found, pictures(found), full=True).encode(),
        "workbook.xlsx": lambda: workbook(found),
        "assessment.json": lambda: document.printed(document.document(found)).encode(),
        "data.zip": lambda: dataset.archive(dataset.dataset(found, pictures(found), detail(found))),
        "case.zip": lambda: dataset.archive(dataset.case_files(found.case)),
    }


FIRST = ("brief.pdf", "workbook.xlsx", "data.zip")
"""Files that most readers want; the others stand behind a fold."""
WANTED = "report.charts_wanted"
"""Where the session holds the content of the case whose charts were asked for."""


def offer(found: Any, name: str) -> None:
    """Three buttons, and the other files behind a fold; what takes minutes is drawn at a first click."""
    every, name = makers(found), safe_name(name)
    for end in FIRST:
        _button(end, every.pop(end), name, "primary" if end == FIRST[0] else "secondary")
    with st.expander(say("front.take.more")):
        for end, make in every.items():
            _button(end, make, name, "secondary")
        st.caption(layout.plain(only_here(found.case, session.book().only_here(session.case_id()))))
        _charts(found, name)
        st.caption(layout.plain(say("front.take.every_chart")))
    for old, new in with_safe_codes(found.case)[1].items():
        st.caption(layout.plain(say("front.take.renamed", old=repr(old), new=new)))


def _button(end: str, make: Callable[[], bytes], name: str, kind: str) -> None:
    key = end.replace(".", "_")
    words = {"label": say(f"front.take.{key}"), "help": say(f"front.take.{key}_help")}
    st.download_button(data=make, file_name=f"{name}_{end}", on_click="ignore", width="stretch", type=kind, **words)


def preview(found: Any) -> None:
    """The two pages as they are printed, drawn once for the same case; the PDF holds their words."""
    with st.spinner(say("front.take.preview_wait")):
        pages = session.once(lambda: sheets(found, pictures(found)), "brief.preview")
    for number, page in enumerate(pages, start=1):
        with st.container(border=True):
            words = say("front.take.preview", number=number, of=len(pages))
            source = f"data:image/png;base64,{b64encode(page).decode()}"  # the framework's own image has no alternative
            st.html(f'<img src="{source}" alt="{escape(words)}" style="width: 100%">')
            st.caption(words)


def _charts(found: Any, name: str) -> None:
    """Every chart as SVG and PNG: drawn at a first press, with how far it is, and kept until another case is drawn.

    The press is held until the charts are there: a run of the page that is cut short by the next one does not lose it.
    """
    shelf, key = _drawn(), session.content(found.case)
    words = {"help": say("front.take.charts_zip_help"), "width": "stretch"}
    place = st.empty()
    if key not in shelf and st.session_state.get(WANTED) != key:
        place.button(say("front.take.charts_draw"), on_click=_want, args=(key,), **words)
    elif key not in shelf:
        bar = place.progress(0.0, say("front.take.charts_detail"))
        beside = detail(found, progress=lambda share: bar.progress(share, say("front.take.charts_detail")))
        wanted = every(found, beside)
        made = drawn(wanted, progress=lambda share: bar.progress(share, say("front.take.charts_drawing")))
        bar.progress(1.0, say("front.take.charts_packing"))
        shelf.clear()
        shelf[key] = dataset.archive(dataset.chart_files(made))
    if (ready := shelf.get(key)) is not None:
        taken = {"data": lambda: ready, "file_name": f"{name}_charts.zip", "on_click": "ignore"}
        place.download_button(say("front.take.charts_zip"), **taken, **words)


def _want(key: str) -> None:
    st.session_state[WANTED] = key


@st.cache_resource(show_spinner=False)
def _drawn() -> dict[str, bytes]:
    """The charts that were drawn last, by content of the case; shared by the sessions of a server."""
    return {}
