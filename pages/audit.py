"""Audit: what the decision promised against what new studies and actual costs give."""

import streamlit as st

from coreset.brief import say, say_audit
from coreset.money.audit import audit
from coreset.pages import parts, session

parts.head("money.audit")
trail = session.book().trail(session.case_id())
kept = {row.revision: say("money.audit.kept", when=row.when, who=row.who, why=row.why) for row in reversed(trail[1:])}
revision = st.selectbox(say("money.audit.choose"), list(kept), format_func=kept.get, help=parts.word("correction"))
now = session.assessment().money
before = session.assessment_of(session.as_kept(revision)).money if revision is not None else None
if now is None or before is None:
    parts.empty("money.audit.none")
    st.stop()
rows = audit(before, now)
parts.answer(say_audit.answer(rows, now.currency))
st.caption(say("money.audit.text"))
parts.rows(say_audit.table(rows))
