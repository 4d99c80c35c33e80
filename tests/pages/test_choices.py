"""Choices that the address repeats: each one counts, however slowly they follow, and a reload finds the last."""

import pytest
from browsers import opened, settled
from streamlit.testing.v1 import AppTest

from coreset.text import say

pytestmark = pytest.mark.browser

PAUSE_MS = 2500


def chosen(page, label, option):
    """Choose from a list, wait some seconds, and say what the list shows then."""
    box = opened(page, label)
    page.get_by_role("option", name=option, exact=True).click()
    page.wait_for_timeout(PAUSE_MS)
    settled(page)
    return shown(box)


def shown(box):
    """What a list shows."""
    return box.input_value() or box.inner_text()


def test_every_choice_of_a_study_counts(page, floor):
    """Study after study, with seconds between: list, clock and address name the one that was chosen."""
    floor.open(page)
    for study in ("S2", "S1", "S2", "S1"):
        assert chosen(page, "Study", study) == study
        assert f"study={study}" in page.url
        assert page.locator(".clock .where").inner_text().startswith(f"{study} ")
    chosen(page, "Study", "S2")
    page.reload()
    page.locator(".clock[data-live]").wait_for()
    assert page.locator(".clock .where").inner_text().startswith("S2 ")


def test_every_click_on_a_view_counts(page, floor):
    """View after view: the one that was clicked is shown; a click on the one that is shown changes nothing."""
    floor.open(page)
    views = page.locator(".st-key-floor-views")
    for label, name in (
        ("Review", "readings"),
        ("Set up", "elements"),
        ("Header", "header"),
        ("Elements", "elements"),
        ("Review", "readings"),
        ("Review", "readings"),
        ("Result", "standard"),
        ("Sign", "sign"),
    ):
        views.get_by_role("radio", name=label, exact=True).click()
        page.wait_for_timeout(PAUSE_MS)
        settled(page)
        assert f"view={name}" in page.url
        assert views.get_by_role("radio", name=label, exact=True).get_attribute("aria-checked") == "true"


def test_every_choice_of_a_place_counts(page, floor):
    """The same of the part of the case on Facts."""
    floor.known(page)
    page.goto(f"{floor.app.url}/facts?case={floor.case}")
    settled(page)
    for name in ("patterns", "methods", "patterns"):
        chosen(page, say("front.facts.place"), say(f"front.part.{name}"))
        assert f"place={name}" in page.url


def test_the_address_is_obeyed_when_it_changes():
    """A link on the page itself, and a choice that is gone: what the address says counts, else the first."""
    script = """
import streamlit as st
from coreset.pages.parts import layout as parts

with parts.addressed("of", st.session_state.get("options", ["a", "b"]), key="one") as key:
    st.selectbox("of", st.session_state.get("options", ["a", "b"]), key=key)
"""
    page = AppTest.from_string(script)
    page.query_params["of"] = "b"
    assert page.run().selectbox[0].value == "b"
    for choice in ("a", "b", "a"):
        assert page.selectbox[0].select(choice).run().query_params["of"] == choice
        assert page.selectbox[0].value == choice
    page.session_state["options"] = ["c", "a", "b"]
    assert page.run().selectbox[0].value == "a", "a choice that was added takes nothing away"
    page.query_params["of"] = "c"
    assert page.run().selectbox[0].value == "c"
    page.session_state["options"] = ["a", "b"]
    assert page.run().selectbox[0].value == "a"
