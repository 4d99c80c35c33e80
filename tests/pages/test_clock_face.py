"""The face of the clock: sizes, contrast, guidance, signs, accessibility, and what the instrument notices."""

import os
import re
import statistics
from importlib.resources import files
from pathlib import Path

import pytest
from floor import durable, press, state, until
from lacking import need
from scipy import stats

from coreset.report.numbers import number
from coreset.study.sample_size import needed, share_counting

pytestmark = pytest.mark.browser

SIZES = [(820, 1180), (1180, 820), (1280, 900), (900, 1280)]
AXE = "CORESET_AXE"
"""Environment variable: the file axe.min.js, fetched by .ci/run; not kept here for its licence (MPL-2.0)."""


def timed(page, floor, study="S1", cycles=2):
    """Some cycles of the study."""
    floor.open(page, study)
    press(page, "Space", "Space", *["Space"] * (3 * cycles))


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_targets_are_large_and_inside(page, floor, width, height):
    """Every target is at least 72 px each way, none leaves the screen sideways, the digits are 2 m high."""
    page.set_viewport_size({"width": width, "height": height})
    timed(page, floor)
    for button in page.locator(".clock button:visible").all():
        box = button.bounding_box()
        assert min(box["width"], box["height"]) >= 72, button.inner_text()
        assert box["x"] >= 0 and box["x"] + box["width"] <= width
    size = page.locator(".digits").evaluate("e => parseFloat(getComputedStyle(e).fontSize)")
    # 22 minutes of arc at 2 m are 12.8 mm (ISO 9241-303, from memory); a figure is about 0.65 of its font size.
    assert 0.65 * size * 25.4 / 96 >= 12.8
    next_box = page.locator(".next").bounding_box()
    assert next_box["y"] + next_box["height"] <= height, "the largest target is in sight"
    steps = page.locator(".steps").bounding_box()
    assert steps["y"] + steps["height"] <= height, "the ratings are in sight"


REACHED = """() => [...document.querySelectorAll('a, button, input, summary')].filter(e => e.checkVisibility(
  {visibilityProperty: true})).map(e => e.outerHTML.slice(0, 120))"""


def test_the_clock_alone_is_there_while_it_runs(page, floor):
    """Nothing around a running clock can be seen, touched or reached; the rest of the page is back after Stop."""
    floor.open(page)
    assert page.evaluate(REACHED), "links and fields around the clock that stands still"
    press(page, "Space", "Space", "Space")
    assert page.evaluate(REACHED) == []
    box, size = page.locator(".clock").bounding_box(), page.viewport_size
    assert (box["x"], box["y"], box["width"], box["height"]) == (0, 0, size["width"], size["height"])
    page.locator(".switches input[data-switch=fill]").uncheck()
    assert page.evaluate(REACHED), "who must can still get at the page"
    page.locator(".switches input[data-switch=fill]").check()
    assert page.evaluate(REACHED) == []
    press(page, "e", "e")
    assert until(lambda: page.evaluate(REACHED), page=page)


def test_every_key_of_the_clock_is_on_the_screen(page, floor):
    """Each key that the script listens for is in the list of keys on the screen."""
    floor.open(page)
    shown = page.locator(".keys kbd").all_inner_texts()
    names = {"Space": "Space", "Enter": "Enter", "Backspace": "\u232b", "BracketLeft": "[", "BracketRight": "]"}
    source = (files("coreset.pages.time_study.clock") / "clock.js").read_text(encoding="utf-8")
    heard = re.search(r"OWN_KEYS = new Set\(\[(.*?)\]\)", source, re.DOTALL).group(1)
    keys = [key for key in re.findall(r'"(\w+)"', heard) if not key.startswith("Arrow")]  # those are of a video
    assert len(keys) >= 10
    assert not [key for key in keys if names.get(key, key.removeprefix("Key")) not in shown]


CONTRAST = """() => {
  const part = (c) => { c /= 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; };
  const light = (rgb) => 0.2126 * part(rgb[0]) + 0.7152 * part(rgb[1]) + 0.0722 * part(rgb[2]);
  const rgb = (text) => text.match(/[\\d.]+/g).map(Number);
  const root = [...document.querySelectorAll('*')].map((e) => e.shadowRoot).find((r) => r && r.querySelector('.clock'));
  const found = [];
  for (const node of root.querySelectorAll('.clock *')) {
    const own = [...node.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    if (!own || !node.getClientRects().length) continue;
    let behind = node;
    while (behind && (rgb(getComputedStyle(behind).backgroundColor)[3] === 0)) behind = behind.parentElement;
    const a = light(rgb(getComputedStyle(node).color)), b = light(rgb(getComputedStyle(behind).backgroundColor));
    found.push([(Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05), node.className || node.tagName, node.textContent]);
  }
  return found;
}"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_contrast_is_seven_to_one(page, floor, scheme):
    """Every text of the clock stands out by 7:1 as WCAG 2 calculates it, by day and by night."""
    page.emulate_media(color_scheme=scheme)
    timed(page, floor)
    page.wait_for_timeout(300)
    found = page.evaluate(CONTRAST)
    assert len(found) > 30
    assert not [entry for entry in found if entry[0] < 7.0]


def test_guidance_agrees_with_statistics(page, floor):
    """Mean and 95 % interval of the whole cycles, and the cycles still needed: while it runs as after Stop."""
    floor.open(page)
    press(page, "Space", "Space")
    for pause in (60, 90, 70, 110, 50):
        press(page, "Space", "Space", "Space", pause_ms=pause)
    assert until(lambda: floor.count() == 17)
    ends = [p.clock_s for p in floor.stored() if p.kind in ("first", "end")]
    cycles = [b - a for a, b in zip(ends[::3], ends[3::3], strict=False)]
    mean, error = statistics.mean(cycles), statistics.stdev(cycles) / len(cycles) ** 0.5
    error /= share_counting(cycles) ** 0.5
    low, high = stats.t.interval(0.95, len(cycles) - 1, loc=mean, scale=error)
    shown = page.locator(".guide dd").all_inner_texts()
    assert shown[:3] == ["5", f"{mean:.1f} s", f"{low:.1f} to {high:.1f} s"]
    stored = pytest.approx(needed(cycles), rel=0.01, abs=1)  # of times that are rounded when they are stored
    assert int(shown[3]) + 5 == stored
    press(page, "e", "e")
    page.get_by_text("Cycles still needed").first.wait_for()
    page.get_by_text(f"about {number(needed(cycles) - 5)} more cycles").first.wait_for()


def test_an_element_out_of_its_usual_range_is_told(page, floor):
    """An element that lasts far longer than its readings so far is named while it runs, and after it ended."""
    floor.open(page)
    press(page, "Space", "Space", *["Space"] * 18)
    page.wait_for_timeout(1500)
    unusual = page.locator(".unusual")
    assert until(lambda: "longer than usual" in unusual.inner_text(), page=page)
    # The next element's usual is some hundredths of a second here, and its own notice soon covers this one
    watch = "new MutationObserver(() => told.push(e.innerText)).observe(e, {childList: true})"
    unusual.evaluate(f"e => {{ window.told = []; {watch} }}")
    press(page, "Space")
    assert until(lambda: any(t.startswith("fetch core took") for t in page.evaluate("told")), page=page)


def test_snapback_readings_are_times_of_their_own(page, floor):
    """On a snapback study each reading is its element's time, and together they are the time of the clock."""
    timed(page, floor, "S2")
    press(page, "e", "e")
    assert until(lambda: ("stop", "") in floor.kinds("S2"))
    found, raw = floor.study("S2"), floor.stored("S2")
    spent = found.elapsed_before_s + sum(found.readings.reading_s) + found.elapsed_after_s
    assert spent == pytest.approx(raw[-1].clock_s, abs=1e-5)
    assert max(found.readings.reading_s) < 1.0


def test_touch_and_mouse_press_once(page, floor):
    """A click is one press, not two; keyboard activation of a focused target is one press too."""
    floor.open(page)
    for _ in range(3):
        page.locator(".next").click()
    page.locator(".elements button").nth(2).click()
    page.locator(".next").focus()
    page.keyboard.press("Enter")
    assert until(lambda: durable(page) == 5)
    page.wait_for_timeout(200)
    assert durable(page) == 5
    assert until(lambda: floor.count() == 5)
    assert [kind for kind, _ in floor.kinds()] == ["start", "first", "end", "end", "end"]


def test_beep_and_flash_can_be_switched_off(page, floor):
    """Both are on at first; switched off they stay off after a reload."""
    floor.open(page)
    page.evaluate("""() => { window.beeps = 0; const start = OscillatorNode.prototype.start;
        OscillatorNode.prototype.start = function () { window.beeps += 1; return start.call(this); } }""")
    press(page, "Space", "Space")
    assert page.evaluate("window.beeps") == 2
    assert page.locator(".face.flash").count() == 1
    for box in page.locator(".switches input").all():
        box.uncheck()
    press(page, "Space")
    assert page.evaluate("window.beeps") == 2
    page.once("dialog", lambda dialog: dialog.accept())
    page.reload()
    page.locator(".clock[data-live]").wait_for()
    assert [box.is_checked() for box in page.locator(".switches input").all()] == [False, False, False]


def test_a_clock_set_in_mid_study_is_told(page, floor):
    """When the wall clock jumps against the monotonic one, by a setting or a sleep, the study says by how much."""
    timed(page, floor)
    page.wait_for_timeout(1200)
    page.evaluate("() => { const now = Date.now; Date.now = () => now() + 90000; }")
    assert until(lambda: "trouble" in [kind for kind, _ in floor.kinds()], page=page)
    assert "wall clock moved 90.0 s" in floor.study().clock_trouble
    clocks = [p.clock_s for p in floor.stored()]
    assert max(clocks) < 30, "the readings do not follow the wall clock"


def test_a_frozen_machine_is_told(page, floor):
    """When nothing ran for seconds the study says so."""
    timed(page, floor)
    page.wait_for_timeout(2200)
    page.evaluate("() => { const end = performance.now() + 6500; while (performance.now() < end); }")
    assert until(lambda: "nothing happened for" in floor.study().clock_trouble, page=page)


def test_a_signed_study_is_locked_on_the_clock(page, floor):
    """No target of a signed study takes a press, and the clock says why."""
    floor.book.sign(floor.case, "S1", who="AP1")
    floor.open(page)
    assert state(page) == "locked"
    press(page, "Space", "Space")
    assert durable(page) == 0
    assert page.locator(".next").is_disabled()


def test_axe_finds_no_violation(page, floor):
    """The rules of axe-core find nothing wrong with Timing, before, while and after timing."""
    script = Path(os.environ.get(AXE, "axe.min.js"))
    need(script.is_file(), f"NO AXE-CORE: {AXE} must name the file axe.min.js (npm pack axe-core)")
    floor.open(page)
    for keys in ((), ("Space", "Space", "Space", "f"), ("f", "e", "e")):
        press(page, *keys)
        page.wait_for_timeout(400)
        page.add_script_tag(path=str(script))
        found = page.evaluate("axe.run().then((r) => r.violations)")
        assert not found, [(v["id"], [n["html"][:200] for n in v["nodes"]]) for v in found]
