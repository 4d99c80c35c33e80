"""Guide: from nothing to a first standard time in a few minutes; the words used here, explained."""

import streamlit as st

from coreset.pages.parts import layout
from coreset.report.glossary import glossary
from coreset.study.report.first_study import answer, lessons
from coreset.study.report.practice_case import NAME, practice_case
from coreset.text import say
from coreset.web import navigation, session

case = session.case()
layout.head("front.guide")
layout.answer(answer(case, session.case_id()))
for number, lesson in enumerate(lessons(case, session.case_id()), start=1):
    mark = "check_circle" if lesson.done else "radio_button_unchecked"
    st.markdown(f":material/{mark}: {number}. {layout.plain(lesson.words)}")
    if lesson.page == "guide" and not lesson.done:
        st.button(
            say("front.guide.go"),
            type="primary",
            on_click=session.begin_own,
            args=(NAME, practice_case()),
            disabled=not session.may("edit"),
        )
    elif not lesson.done:
        navigation.link(lesson.page, say("front.guide.to", page=say(f"front.page.{lesson.page}")))
st.caption(say("front.guide.not_yet"))
st.header(say("front.guide.words"), anchor=False)
words = glossary(st.text_input(say("front.guide.search"), help=say("front.guide.search_help")))
for word in words:
    with st.container(gap="xxsmall"):
        st.subheader(layout.plain(word.word), anchor=word.anchor)
        if word.symbol or word.unit:
            st.caption(layout.plain(say("front.guide.symbol_unit", symbol=word.symbol or "–", unit=word.unit or "–")))
        st.markdown(layout.plain(word.meaning))
layout.safety()
