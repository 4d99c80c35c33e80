"""Methods: the published method behind each answer."""

from coreset.pages.parts import layout, results
from coreset.report.help_pages import methods
from coreset.text import say

layout.named("help.methods")
layout.answer(say("help.methods.lead"))
results.rows(methods())
layout.safety()
