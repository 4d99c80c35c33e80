"""axe-core on a drawn page; .ci/run fetches it, it is not kept here for its licence (MPL-2.0)."""

import os
from pathlib import Path

AXE = os.environ.get("CORESET_AXE", "")
"""The file axe.min.js; empty where there is none."""
RUN_AXE = """names => axe.run(document, {
  resultTypes: ["violations"], rules: Object.fromEntries(names.map(name => [name, {enabled: false}])),
}).then(found => found.violations.flatMap(rule => rule.nodes.map(node =>
  [rule.id, rule.impact, String(node.target), node.html.slice(0, 160)])))"""
LEFT_OUT = {
    "region": "the framework sets its navigation and its page outside of any landmark",
    "landmark-one-main": "the framework has no element main",
    "landmark-unique": "the framework's header and its toolbar are two landmarks without names",
    "empty-table-header": "a table of rows has one corner without a heading",
}
"""Rules left out and why: best practices of axe-core that the framework's frame does not keep, none a rule of WCAG."""


def violations(page):
    """What axe-core finds wrong with a page: rule, impact, element, its text; nothing where there is no axe-core."""
    if not AXE:
        return []
    page.evaluate(Path(AXE).read_text(encoding="utf-8"))
    return page.evaluate(RUN_AXE, list(LEFT_OUT))
