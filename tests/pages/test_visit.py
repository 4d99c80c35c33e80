"""Every page on the demo in a real Chromium, at the width of a desk and of a tablet: an answer, no error."""

import os
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

pytestmark = pytest.mark.browser
PAGES = ("", "timing", "cycles", "standard", "handling", "line", "payback", "brief", "sources")
WIDTHS = ((1280, 900), (820, 1180))
HARMLESS = ("/_stcore/host-config", "/_stcore/health")
"""Paths the framework asks for below a page's own address before it finds them at the root."""
RENDERED_MS = 90_000


def settled(page):
    """Wait until the script of a page has run to its end."""
    page.wait_for_selector("h1", timeout=RENDERED_MS)
    page.wait_for_function("!document.querySelector('[data-testid=stStatusWidget]')", timeout=RENDERED_MS)


def test_every_page_leads_with_its_answer_and_has_no_error(serve, chromium, tmp_path):
    """Nine pages at two widths: an answer, no exception, no console error, nothing wider than the screen."""
    app = serve()
    pictures = Path(os.environ.get("CORESET_PICTURES") or tmp_path)
    errors = []
    for width, height in WIDTHS:
        context = chromium.new_context(viewport={"width": width, "height": height})
        page = context.new_page()
        page.on("console", lambda said: errors.append(said) if said.type == "error" else None)
        page.on("pageerror", lambda error: errors.append(error))
        for name in PAGES:
            page.goto(f"{app.url}/{name}")
            settled(page)
            page.screenshot(path=str(pictures / f"{name or 'case'}-{width}.png"), full_page=True)
            assert page.locator("[data-testid=stException]").count() == 0, (name, app.log())
            assert page.locator("[data-testid=stAlertContentError]").count() == 0, (name, app.log())
            answer = page.locator("[data-testid=stMarkdown] strong").first.inner_text()
            assert len(answer) > 20, name
            over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
            assert over <= 1, f"{name} is {over} px wider than {width}"
        context.close()
    told = [str(getattr(e, "text", e)) + str(getattr(e, "location", "")) for e in errors]
    assert not [said for said in told if not any(path in said for path in HARMLESS)]


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
