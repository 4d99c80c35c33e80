"""Every page on the demo in a real Chromium, on a desk, a tablet and a phone: an answer, no error, axe-core."""

import os
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest
from axe import AXE, violations
from browsers import settled
from lacking import IN_CI, need

from coreset.web import navigation

pytestmark = pytest.mark.browser
ANSWER = "[data-testid=stMarkdown] strong, [data-testid=stAlertContentInfo]"
"""A page's answer, or what to do first where there is none yet."""
DESK, TABLET, PHONE = (1280, 900), (820, 1180), (390, 844)
LOOKS = [(DESK, "light"), (TABLET, "dark"), (PHONE, "light")]
EVERY_LOOK = [(size, scheme) for size in (DESK, TABLET, PHONE) for scheme in ("light", "dark")]
VIEWS = [
    f"timing?view={view}"
    for view in ("film", "readings", "elements", "header", "exchange", "standard", "library", "sign")
]
PLACES = [
    f"facts?place={place}" for place in ("money", "line", "setter", "place", "patterns", "lifts", "steps", "studies")
]
CUT = """[...document.querySelectorAll('.stMain *')].filter(node => {
  const style = getComputedStyle(node);
  return node.clientWidth > 4 && node.textContent.trim() && node.scrollWidth > node.clientWidth + 1
    && style.overflowX === 'hidden' && style.textOverflow === 'ellipsis' && node.tagName !== 'INPUT';
}).map(node => node.textContent.trim().slice(0, 80))"""
"""Words that end in three points because their place is too narrow."""
SMALL = """[...document.querySelectorAll(
  '.stMain :is(.stButton, .stPopover, .stDownloadButton, .stFormSubmitButton) button,'
  + '.stMain :is(summary, [data-testid=stTab], [data-testid=stPageLink-NavLink])')].filter(node => {
  const box = node.getBoundingClientRect();
  return box.width && box.height && box.height < 43.5;
}).map(node => node.textContent.trim().slice(0, 60))"""
"""What is pressed and is less than 44 px high."""
TARGETS = """least => [...document.querySelectorAll('.stMain :is(button, summary, a[data-testid], [role=tab]),'
  + '[data-testid=stHeaderActionElements] a, div:has(> [data-testid=stSliderThumbValue])')].flatMap(node => {
  const box = node.getBoundingClientRect(), after = getComputedStyle(node, '::after');
  if (!box.width || getComputedStyle(node).visibility === 'hidden') return [];
  const more = after.content !== 'none' && after.position === 'absolute';
  const [wide, high] = ['width', 'height'].map(side => Math.max(box[side], more ? parseFloat(after[side]) || 0 : 0));
  const words = node.getAttribute('aria-label') || node.textContent.trim();
  return Math.min(wide, high) < least - 0.5 ? [`${words.slice(0, 40)}, ${Math.round(wide)} x ${Math.round(high)}`] : [];
})"""
"""What is pressed and is narrower or lower than that, what takes the finger round it included."""
LEAST_PX = 24
"""W3C, Web Content Accessibility Guidelines 2.2, 2.5.8: least size of a target."""
FLOOR_PX = 44
"""The same, 2.5.5: size of a target where a study is timed, in gloves."""
OUTSIDE = """[...document.querySelectorAll('.stVegaLiteChart svg')].flatMap(svg => {
  const room = svg.getBoundingClientRect();
  return [...svg.querySelectorAll('text')].filter(node => {
    const box = node.getBoundingClientRect();
    return room.width && box.width && node.textContent.trim() && (box.left < room.left - 1 || box.top < room.top - 1
      || box.right > room.right + 1 || box.bottom > room.bottom + 1);
  }).map(node => node.textContent.slice(0, 60));
})"""
"""Words of a chart that stand beyond its edge, where they are cut off."""
FAINT = """() => {
  const parts = color => color.match(/[\\d.]+/g).map(Number);
  const over = (top, under, share) => top.map((part, i) => share * part + (1 - share) * under[i]);
  const light = color => { const [r, g, b] = color.map(x => x / 255)
    .map(x => x <= 0.04045 ? x / 12.92 : ((x + 0.055) / 1.055) ** 2.4); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const paper = parts(getComputedStyle(document.querySelector('.stApp')).backgroundColor).slice(0, 3);
  return [...document.querySelectorAll('.stVegaLiteChart svg')].flatMap(svg => {
    const shapes = [...svg.querySelectorAll('path, rect, circle')]
      .map(node => [node, getComputedStyle(node)]).filter(([, style]) => style.fill.startsWith('rgb'));
    const words = [...svg.querySelectorAll('text')]
      .filter(node => node.textContent.trim() && node.getBoundingClientRect().width);
    return words.flatMap(node => {
      const box = node.getBoundingClientRect(), style = getComputedStyle(node);
      const middle = new DOMPoint(box.x + box.width / 2, box.y + box.height / 2);
      let under = paper;
      for (const [shape, own] of shapes) {
        const to = shape.getScreenCTM();
        if (!to || !shape.isPointInFill(middle.matrixTransform(to.inverse()))) continue;
        const color = parts(own.fill);
        under = over(color.slice(0, 3), under, own.opacity * own.fillOpacity * (color[3] ?? 1));
      }
      const ink = over(parts(style.fill).slice(0, 3), under, style.opacity * style.fillOpacity);
      const [low, high] = [light(ink), light(under)].sort((a, b) => a - b), ratio = (high + 0.05) / (low + 0.05);
      return ratio < 4.5 ? [`${node.textContent.slice(0, 40)} ${ratio.toFixed(1)}`] : [];
    });
  });
}"""
"""Words in charts whose contrast with what lies under their middle is below 4.5: axe-core leaves charts undecided.
W3C, Web Content Accessibility Guidelines 2.2, 1.4.3 and the definition of contrast ratio."""
TURNED = """scheme => getComputedStyle(document.querySelector('.stApp')).colorScheme === scheme
  && !document.getAnimations().some(one =>
    one instanceof CSSTransition && one.playState === 'running' && one.effect.target.checkVisibility())"""
"""The page has the colors of a scheme: words turn gradually, and half way they are fainter than at either end."""
HARMLESS = ("/_stcore/host-config", "/_stcore/health")
"""Paths the framework asks for below a page's own address before it finds them at the root."""


def faults(page, width):
    """What is wrong with a drawn page: an error box, no answer, wider than the screen, a violation."""
    found = []
    if page.locator("[data-testid=stException], [data-testid=stAlertContentError]").count():
        found.append("an error is shown")
    if len("".join(page.locator(ANSWER).all_inner_texts()[:1])) <= 20:
        found.append("no answer")
    over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    if over > 1:
        found.append(f"{over} px wider than {width}")
    found += [f"cut off: {words}" for words in page.evaluate(CUT)]
    found += [f"lower than 44 px: {words}" for words in page.evaluate(SMALL)]
    least = FLOOR_PX if page.locator(".st-key-floor").count() else LEAST_PX
    found += [f"small target: {words}" for words in page.evaluate(TARGETS, least)]
    found += [f"cut off in a chart: {words}" for words in page.evaluate(OUTSIDE)]
    found += [f"faint in a chart: {words}" for words in page.evaluate(FAINT)]
    return found + violations(page)


@pytest.fixture
def visitor(chromium):
    """A page, and what its console told of errors."""
    context = chromium.new_context()
    page, errors = context.new_page(), []
    page.on("console", lambda said: errors.append(f"{said.text} {said.location}") if said.type == "error" else None)
    page.on("pageerror", lambda error: errors.append(str(error)))
    yield page, errors
    context.close()


def visited(page, address, name, looks=LOOKS):
    """One page by its own address, opened on a desk, then in each look: what is wrong."""
    found = []
    pictures = os.environ.get("CORESET_PICTURES")
    page.set_viewport_size(dict(zip(("width", "height"), DESK, strict=True)))
    page.goto(address)
    settled(page)
    for (width, height), scheme in looks:
        page.emulate_media(color_scheme=scheme)
        page.set_viewport_size({"width": width, "height": height})
        page.wait_for_function(TURNED, arg=scheme)
        found += [(name, width, scheme, fault) for fault in faults(page, width)]
        if pictures:
            page.screenshot(path=str(Path(pictures) / f"{name}-{width}-{scheme}.png"), full_page=True)
    return found


def test_every_page_leads_with_its_answer_and_has_no_fault(untouched, visitor):
    """Every page by its own address at two widths: an answer, no error, nothing too wide, nothing for axe-core."""
    if IN_CI:
        need(AXE, "CORESET_AXE must name axe.min.js (npm pack axe-core)")
    page, errors = visitor
    listed = [name for name in navigation.ORDER if navigation.path_of(name).is_file()]
    found = [fault for name in listed for fault in visited(page, f"{untouched.url}/{name}", name)]
    assert not found, "\n".join(map(str, found))
    assert not [said for said in errors if not any(path in said for path in HARMLESS)]
    need(AXE, "NO AXE-CORE: CORESET_AXE names no axe.min.js, pages were not checked by axe-core")


@pytest.mark.long
@pytest.mark.parametrize("address", [*navigation.ORDER, *VIEWS, *PLACES])
def test_every_view_is_sound_in_each_look(app, visitor, address):
    """Three widths, light and dark, with the views of the clock and the parts of Setup."""
    need(AXE, "NO AXE-CORE: CORESET_AXE names no axe.min.js, pages were not checked by axe-core")
    page, _ = visitor
    found = visited(page, f"{app[0].url}/{address}", address.replace("?", "-"), EVERY_LOOK)
    assert not found, "\n".join(map(str, found))


def test_the_command_serves_this_machine_only_whatever_settings_lie_about(tmp_path):
    """`coreset app` from a folder with hostile settings listens on 127.0.0.1 and sends no statistics."""
    settings = tmp_path / ".streamlit"
    settings.mkdir()
    (settings / "config.toml").write_text(
        '[server]\naddress = "0.0.0.0"\nport = 9999\n[browser]\ngatherUsageStats = true\n'
        '[client]\ntoolbarMode = "developer"\n'
    )
    (tmp_path / "pages").mkdir()
    (tmp_path / "pages" / "stray.py").write_text("raise SystemExit('stray page')")
    env = dict(os.environ) | {"XDG_DATA_HOME": str(tmp_path / "home")}
    env.pop("CORESET_BOOK", None)
    command = [sys.executable, "-m", "coreset", "app", "--port", "0"]
    process = subprocess.Popen(
        command, cwd=tmp_path, env=env, stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    try:
        line = process.stderr.readline()
        url = line.split("coreset is at ")[1].split(" ")[0]
        assert url.startswith("http://127.0.0.1:")
        for _ in range(200):
            try:
                with urllib.request.urlopen(f"{url}/_stcore/health", timeout=2) as answer:
                    assert answer.status == 200
                    break
            except OSError:
                assert process.poll() is None, process.stderr.read()
                time.sleep(0.2)
        port = int(url.rsplit(":", 1)[1])
        listening = Path("/proc/net/tcp").read_text()
        assert f"0100007F:{port:04X}" in listening
        assert f"00000000:{port:04X}" not in listening
    finally:
        process.kill()
        process.communicate()
