"""Keyboard: every key, by where it acts."""

import streamlit as st

from coreset.pages.parts import layout, results
from coreset.report.help_pages import SECTIONS, keys
from coreset.text import say

layout.named("help.keyboard")
layout.answer(say("help.keyboard.lead"))
for section in SECTIONS:
    st.header(say(f"help.keyboard.section.{section}"), anchor=False)
    results.rows(keys(section))
