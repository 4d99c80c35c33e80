"""The rater's check in a real Chromium: shown at the paces it says, taken by keys, kept, and in the interval."""

import os
from pathlib import Path

import pytest
from browsers import settled
from lacking import need

from coreset.study import known_paces
from coreset.study.rating_test import checked
from coreset.study.report import rating_test
from coreset.study.study_errors import rating_of

pytestmark = pytest.mark.browser
AXE = os.environ.get("CORESET_AXE", "")
FOLD = "[data-testid=stExpander]:has-text('Rating test')"
PICTURE = ".rater .picture"
GONE = "node => [performance.now(), parseFloat(node.dataset.metres || node.dataset.cards)]"
"""When a scene is read, and how many metres were walked or cards dealt by then."""


def opened(page, url):
    """Standard with the fold of the check open."""
    page.context.add_cookies([{"name": "coreset_who", "value": "E02", "url": url}])
    page.goto(f"{url}/standard")
    settled(page)
    page.locator(FOLD).locator("summary").click()
    page.locator(".rater .start").wait_for()
    settled(page)


def looked(page):
    """Wait until a rating of the scene counts."""
    page.wait_for_selector(".rater .ratings button[aria-disabled=false]")


def rates(page, scene):
    """Metres or cards a second as the picture moves, over half a second."""
    picture = page.locator(PICTURE)
    (t0, gone0), _, (t1, gone1) = picture.evaluate(GONE), page.wait_for_timeout(500), picture.evaluate(GONE)
    shown, said = 1000 * (gone1 - gone0) / (t1 - t0), scene.metres_s or 1 / scene.card_s
    assert shown == pytest.approx(said, rel=0.08), scene


def test_a_whole_check_is_taken_by_keys_and_its_bias_enters_the_interval(untouched, page, tmp_path):
    """16 scenes rated about 8 % high, with a reload between: kept; the bias on the page is that of what was fed."""
    from coreset.store.book import Book

    book = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    case = book.open("ostrander_bend")
    observer = rating_test.observers(case)[0]
    asked = rating_test.asked(case, observer, "100-133")
    scenes = known_paces.scenes(asked["seed"])
    opened(page, untouched.url)
    page.locator(".rater .start").press("Enter")
    fed, measured = [], set()
    for number, scene in enumerate(scenes):
        looked(page)
        if scene.shown not in measured:
            measured.add(scene.shown)
            rates(page, scene)
        rating = min(asked["offered"], key=lambda offer, pace=scene.known_pct: abs(offer - 1.08 * pace))
        fed.append((scene.known_pct, float(rating)))
        here = int(page.locator(".rater .ratings button[tabindex='0']").inner_text())
        page.locator(".rater .ratings button[tabindex='0']").focus()
        for _ in range(abs(rating - here) // 5):
            page.keyboard.press("ArrowRight" if rating > here else "ArrowLeft")
        page.keyboard.press("Enter")
        if number == 4:
            opened(page, untouched.url)
            assert "Go on" in page.locator(".rater .start").inner_text()
            page.locator(".rater .start").press("Enter")
    page.get_by_text("rates too high by").wait_for()
    settled(page)
    kept = book.open("ostrander_bend")
    book.close()
    assert [(row.known_pct, row.rated_pct) for row in kept.raters] == fed
    bias = sum(100 * (rated / known - 1) for known, rated in fed) / len(fed)
    found = checked(kept.raters, observer)
    assert found.bias_pct == pytest.approx(bias)
    assert f"rates too high by {bias:.1f} %" in page.locator(FOLD).inner_text().replace("\u00a0", " ")
    study = next(s for s in kept.studies if s.observer == observer)
    rated = rating_of(kept, study)
    assert (rated.bias_pct, rated.one_pct, rated.source) == (found.bias_pct, found.sd_pct, "check")


def test_the_check_moves_only_when_asked_and_stops(app, page):
    """With less motion asked for it says that motion is needed; nothing moves before the start, nor after a stop."""
    page.emulate_media(reduced_motion="reduce")
    opened(page, app[0].url)
    assert page.locator(".rater .motion").is_visible()
    still = page.locator(PICTURE).inner_html()
    page.wait_for_timeout(400)
    assert page.locator(PICTURE).inner_html() == still
    page.locator(".rater .start").click()
    page.wait_for_timeout(400)
    assert page.locator(PICTURE).inner_html() != still
    page.locator(".rater .stop").press("Enter")
    still = page.locator(PICTURE).inner_html()
    page.wait_for_timeout(400)
    assert page.locator(PICTURE).inner_html() == still
    small = [box for box in page.locator(".rater button:visible").all() if box.bounding_box()["height"] < 64]
    assert not small


def test_the_check_has_nothing_for_axe(app, page):
    """While a scene runs, with its ratings on the screen, axe-core finds no violation in the check."""
    need(AXE, "NO AXE-CORE: CORESET_AXE must name the file axe.min.js (npm pack axe-core)")
    opened(page, app[0].url)
    page.locator(".rater .start").click()
    looked(page)
    page.evaluate(Path(AXE).read_text(encoding="utf-8"))
    assert page.evaluate("async () => (await axe.run('[data-testid=stMain]')).passes.length") > 5
    found = page.evaluate(
        "async () => (await axe.run('[data-testid=stExpander]')).violations.map(v => [v.id, v.nodes[0].html])"
    )
    assert not found
    if pictures := os.environ.get("CORESET_PICTURES"):
        page.locator(FOLD).screenshot(path=str(Path(pictures) / "rater.png"))
