"""By the link that skips to the page, its main act is at most five stops of the keyboard from the top."""

import pytest
from browsers import settled

pytestmark = pytest.mark.browser
DEMO = "ostrander_bend"
MOST_STOPS = 5
MAIN_ACT = {
    "case": "The figures behind this chart|Time",
    "timing": "Study",
    "cycles": "HB10",
    "standard": "HB10",
    "handling": "Check one lift",
    "payback": "Molds per year of",
    "patterns": "The figures behind this chart|Why, and how it was calculated",
    "line": "Stopwatch to schedule",
    "options": "Why, and how it was calculated",
    "sensitivity": "The figures behind this chart",
    "brief": "Brief, two pages",
    "facts": "What to change",
    "guide": "Start the practice case|Search the glossary",
}
"""What is done on each page, or what leads deeper where nothing is: the beginning of its name."""
NAME = """() => { const at = document.activeElement;
  const label = at.labels?.[0]?.innerText ?? '';
  return (at.getAttribute('aria-label') || label || at.innerText || '').trim(); }"""


@pytest.mark.parametrize("name", MAIN_ACT)
def test_the_main_act_is_within_five_stops(app, page, name):
    """Tab to the link, Enter, then Tab: the act is reached by the fifth stop at the latest."""
    server, _ = app
    page.set_default_timeout(90_000)
    page.goto(f"{server.url}/{'' if name == 'case' else name}?case={DEMO}")
    settled(page)
    page.wait_for_function("window.coresetTables === true")
    page.keyboard.press("Tab")
    assert page.evaluate(NAME).startswith("Skip to main content")
    page.keyboard.press("Enter")
    page.wait_for_function("document.activeElement.tagName === 'H1'")
    passed = []
    for _ in range(MOST_STOPS - 1):
        page.keyboard.press("Tab")
        passed.append(page.evaluate(NAME))
        if any(act in passed[-1] for act in MAIN_ACT[name].split("|")):
            return
    raise AssertionError(f"{name}: {passed}")
