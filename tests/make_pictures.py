"""Pictures of the running app for README.md: `python tests/make_pictures.py FOLDER`, on the demo, in a fresh book."""

import os
import signal
import subprocess
import sys
import tempfile
import urllib.request
from pathlib import Path
from time import sleep

from browsers import CHROMIUM, FLAGS, free_port
from playwright.sync_api import sync_playwright

SHOWN = {"brief": "brief", "payback": "payback", "handling": "handling", "timing": "timing"}
WIDTH, HEIGHT = 1280, 1000
READY = (
    "document.querySelector('.stApp').dataset.testScriptState === 'notRunning'"
    " && !document.querySelector('[data-testid=stSkeleton], [data-stale=true]')"
)


def taken(url, folder):
    """One picture a page."""
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT})
        for name, address in SHOWN.items():
            page.goto(f"{url}/{address}")
            page.wait_for_selector("h1", timeout=90_000)
            page.wait_for_function(READY, timeout=90_000)
            page.wait_for_timeout(500)
            page.screenshot(path=str(folder / f"{name}.png"))
        browser.close()


def main(folder):
    """Serve the demo, take the pictures, end the server."""
    port = free_port()
    with tempfile.TemporaryDirectory() as home:
        env = dict(os.environ) | {"XDG_DATA_HOME": home}
        command = [sys.executable, "-m", "coreset", "app", "--port", str(port)]
        server = subprocess.Popen(command, env=env, cwd=home)
        try:
            for _ in range(300):
                try:
                    urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/health", timeout=2).close()
                    break
                except OSError:
                    sleep(0.2)
            folder.mkdir(parents=True, exist_ok=True)
            taken(f"http://127.0.0.1:{port}", folder)
        finally:
            os.kill(server.pid, signal.SIGTERM)
            server.wait()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
