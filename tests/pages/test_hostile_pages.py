"""A hostile text in every field of a case travels through the pages: shown as typed, never taken for markup."""

from urllib.parse import urlsplit

import hostile
import pytest
from browsers import settled, unfolded

from coreset.web import navigation

pytestmark = pytest.mark.browser
STING = (
    "<img src=x onerror=alert(1)><u>u</u> **bold** _it_ `code` $x^2$ :material/home: :red[red] :smile:"
    " [a](javascript:x) ![i](http://203.0.113.7/i.png) http://203.0.113.7/ www.a.example"
    " a@b.example =1+1 {{7*7}} {0} ${x} datum.x signal"
)
"""Everything at once: tags, marks, formulas, icons, colours, links, a picture from elsewhere, expressions."""
RENDERED = """() => [
  ...[...document.querySelectorAll('.katex, .stApp u, .stMarkdownColoredText')].map(node => node.outerHTML),
  ...[...document.querySelectorAll('.stApp img')].filter(node => !node.closest('header')).map(node => node.outerHTML),
  ...[...document.querySelectorAll('.stApp em, .stApp code, .stApp strong')]
    .filter(node => ['it', 'code', 'bold'].includes(node.textContent)).map(node => node.outerHTML),
  ...[...document.querySelectorAll('[data-testid=stIconMaterial]')].filter(node => node.textContent === 'home')
    .map(node => node.closest('[data-testid]').parentElement.outerHTML),
  ...[...document.querySelectorAll('.stApp a')].filter(node => new URL(node.href).host !== location.host)
    .map(node => node.outerHTML),
  ...[...document.querySelectorAll('[data-testid=stException], [data-testid=stAlertContentError]')]
    .map(node => node.textContent),
].map(text => text.slice(0, 400))"""
"""What was taken for markup, leads elsewhere, or is an error, as the browser holds it."""
SOME = ["case", "facts?place=steps", "cycles"]
"""Pages that calculate little and yet show texts of every kind: a list, a trail, a form, a chart, a table."""
OTHERS = [*(name for name in navigation.ORDER if name not in SOME), "facts?place=lifts", "timing?view=readings"]


@pytest.mark.parametrize(
    "views", [pytest.param(SOME, id="some"), pytest.param(OTHERS, id="others", marks=pytest.mark.long)]
)
def test_no_text_of_a_case_is_taken_for_markup(app, page, monkeypatch, views):
    """Nothing is rendered, nothing asks another host, no dialog opens, no page breaks."""
    server, book = app
    monkeypatch.setattr(hostile, "STINGS", [STING])
    book.keep("hostile", hostile.hostile(book.open("ostrander_bend")), who="T1", why=STING)
    elsewhere, dialogs, broken = [], [], []
    page.on("request", lambda sent: elsewhere.append(sent.url) if foreign(sent.url, server.url) else None)
    page.on("dialog", lambda shown: (dialogs.append(shown.message), shown.dismiss()))
    page.on("pageerror", lambda error: broken.append(str(error)))
    found, seen = [], 0
    for view in views:
        page.goto(f"{server.url}/{view}{'&' if '?' in view else '?'}case=hostile")
        settled(page, 180_000)
        found += [(view, text) for text in unfolded(page, RENDERED)]
        seen += "onerror=alert(1)" in page.inner_text(".stApp")
    assert not found, "\n".join(f"{view}: {text}" for view, text in dict.fromkeys(found))
    assert not elsewhere and not dialogs and not broken, (elsewhere, dialogs, broken)
    assert seen >= len(views) // 2, "the text was shown as it was typed"


def foreign(url, own):
    """Whether an address leads away from the app."""
    return urlsplit(url).scheme not in ("data", "blob") and urlsplit(url).netloc != urlsplit(own).netloc
