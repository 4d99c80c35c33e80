"""Where Chromium is, how it is started, when a page is drawn, and a free port."""

import shutil
import socket

CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
FLAGS = ["--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu", "--mute-audio", "--no-first-run"]
DRAWN = (
    "document.querySelector('.stApp').dataset.testScriptState === 'notRunning'"
    " && !document.querySelector('[data-testid=stSkeleton], [data-stale=true]')"
)
"""True in the browser once a page is drawn."""


def free_port():
    """A port that nobody listens on now."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return listener.getsockname()[1]


def settled(page, timeout_ms=60_000):
    """Wait until the script of a page has run to its end and what it drew is there."""
    page.wait_for_selector("h1", timeout=timeout_ms)
    page.wait_for_function(DRAWN, timeout=timeout_ms)


def opened(page, label, touch=False, **how):
    """The list of that label, open. It closes when the page scrolls, so the page is let come to rest first."""
    box = page.get_by_role("combobox", name=label, **how).first
    box.scroll_into_view_if_needed()
    page.wait_for_timeout(300)
    if touch:
        box.tap()
    else:
        box.click()
    return box


def unfolded(page, read, pause_ms=400):
    """What a script in the browser reads on each tab of a page in turn, all its folds open."""
    found, tabs = [], page.get_by_role("tab")
    for at in range(max(1, tabs.count())):
        if tabs.count():
            tabs.nth(at).click()
            page.wait_for_timeout(pause_ms)
        page.evaluate("document.querySelectorAll('details:not([open]) > summary').forEach(node => node.click())")
        page.wait_for_timeout(pause_ms)
        settled(page)
        found += page.evaluate(read)
    return found
