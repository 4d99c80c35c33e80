"""The rooms of the product, the pages of each, and links to them; a page is listed when its file stands here."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Any

import streamlit as st

from coreset.text import say

ROOMS = {
    "overview": ("case", "compare", "portfolio"),
    "time_study": ("timing", "cycles", "standard"),
    "lifting": ("handling",),
    "business_case": ("payback", "patterns", "line", "options", "sensitivity", "audit"),
    "report": ("brief",),
    "setup": ("facts",),
    "help": ("guide", "keyboard", "methods", "sources"),
}
"""Each room, which is a folder of `pages/`, and its pages; the first one opens when the room is chosen."""
ROOM_OF = {name: room for room, names in ROOMS.items() for name in names}
ORDER = tuple(ROOM_OF)
"""Every page; its name is its address."""
FOLDER = Path(str(files("coreset.pages")))


def path_of(name: str) -> Path:
    """The file of a page."""
    return FOLDER / ROOM_OF[name] / f"{name}.py"


def pages(opened: str = ORDER[0]) -> list[Any]:
    """Every page, with one of each room in the navigation: the opened one, else the first.

    Parameters
    ----------
    opened : str
        The page that is shown, so that its room is marked.
    """
    shown = {opened if opened in names else names[0] for names in ROOMS.values()}
    return [
        st.Page(
            path_of(name),
            title=say(f"front.room.{ROOM_OF[name]}"),
            default=name == ORDER[0],
            visibility="visible" if name in shown else "hidden",
        )
        for name in ORDER
    ]


def name_of(page: Any) -> str:
    """Name of a page; the first one has no address of its own."""
    return page.url_path or ORDER[0]


def views(name: str) -> tuple[str, ...]:
    """The pages of the room in which a page stands; none where it is the only one."""
    names = ROOMS[ROOM_OF[name]]
    return names if len(names) > 1 else ()


def link(name: str, label: str, *, icon: str = ":material/arrow_forward:", help: str = "", **at: str) -> None:
    """A link to a page.

    Parameters
    ----------
    name : str
        Page.
    label, icon, help : str
        How it looks; no icon if empty.
    **at
        Where on the page, as parameters of the address.
    """
    query = {"query_params": at} if at else {}
    st.page_link(path_of(name), label=label, icon=icon or None, help=help or None, **query)
