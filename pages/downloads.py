"""What can be taken along from a case; each file is made when it is asked for."""

from __future__ import annotations

from collections.abc import Callable
from itertools import cycle
from typing import Any

import streamlit as st

from coreset.brief import dataset, document, say
from coreset.brief.detail import detail
from coreset.brief.html import html
from coreset.brief.pdf import pdf
from coreset.brief.workbook import workbook
from coreset.charts.pictures import pictures
from coreset.pages import parts


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


def offer(found: Any, name: str) -> None:
    """Buttons, one a file; what takes minutes is left to the command, which shows how far it is."""
    columns = cycle(st.columns(3))
    for column, (end, make) in zip(columns, makers(found).items(), strict=False):
        key = end.replace(".", "_")
        words = {"label": say(f"front.take.{key}"), "help": say(f"front.take.{key}_help")}
        column.download_button(data=make, file_name=f"{name}_{end}", on_click="ignore", width="stretch", **words)
    st.caption(parts.plain(say("front.take.every_chart")))
