"""Pictures of the running app for README.md: `python tests/make_pictures.py docs`, on the demo, in a fresh book."""

import io
import os
import signal
import subprocess
import sys
import tempfile
import urllib.request
from itertools import pairwise
from pathlib import Path
from random import Random
from time import monotonic, sleep

from browsers import CHROMIUM, FLAGS, free_port, settled
from PIL import Image
from playwright.sync_api import sync_playwright

from coreset.store.book import Book
from coreset.study.report.practice_case import NAME, practice_case
from coreset.web.shelf import demo_folder

SHOWN = {"lift": "handling", "business_case": "payback?case=ostrander_bend"}
CLOCK = f"timing?case={NAME}"
MINUTE_S, FRAME_S, FASTER = 60.0, 1.8, 4
"""What is recorded of the clock, how often, and how much faster it is shown."""
VARIES_S, RATED_UP, RATED_DOWN = 0.35, 4, 11
"""How far an element's time varies as a person's does, and at which readings the rating is tapped up or down."""
SMALL = (700, 450)
"""Size of the recorded minute. [px]"""
MOST_BYTES = 1_000_000
LIFT = ("24", "60, 75", "45, 90", "30", "0.5")
"""A core of 24 kg: reach and height at both ends, twist, lifts per minute."""
WIDTH, HEIGHT = 1120, 720
COLOURS = 64
"""Colours of a picture's palette: enough for paper and ink, and a fifth of the bytes."""


def taken(url, folder):
    """One picture a page."""
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT})
        for name, address in SHOWN.items():
            page.goto(f"{url}/{address}")
            settled(page, 90_000)
            page.wait_for_timeout(500)
            if name == "lift":
                entered(page)
            picture = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
            picture.quantize(COLOURS, dither=Image.Dither.NONE).save(folder / f"{name}.png", optimize=True)
        page.goto(f"{url}/{CLOCK}")
        settled(page, 90_000)
        filmed(page, folder / "clock.gif")
        browser.close()


def filmed(page, path):
    """A minute of timing as a small animated picture: each frame as it was, shown FASTER times as fast."""
    code = page.get_by_label("Your code").last
    code.fill("OB1")
    code.press("Enter")
    page.locator(".clock[data-live]").wait_for()
    page.wait_for_timeout(2000)
    page.locator("h1").click()
    frames, at, begun, varying = [], [], monotonic(), Random(3)
    while not at or at[-1] < MINUTE_S:
        at.append(monotonic() - begun)
        picture = Image.open(io.BytesIO(page.screenshot())).convert("RGB").resize(SMALL, Image.Resampling.LANCZOS)
        frames.append(picture.quantize(COLOURS, palette=frames[0] if frames else None, dither=Image.Dither.NONE))
        page.keyboard.press("Space")
        if len(at) in (RATED_UP, RATED_DOWN):
            page.keyboard.press("]" if len(at) == RATED_UP else "[")
        lasts = FRAME_S + 0.3 * (len(at) % 3) + varying.uniform(-VARIES_S, VARIES_S)
        page.wait_for_timeout(1000 * max(0.0, lasts - (monotonic() - begun - at[-1])))
    shown = [round(1000 * (after - before) / FASTER) for before, after in pairwise([*at, at[-1] + FASTER])]
    frames[0].save(path, save_all=True, append_images=frames[1:], duration=shown, loop=0, optimize=False)
    assert path.stat().st_size < MOST_BYTES, f"{path} is too large: {path.stat().st_size} bytes"


def entered(page):
    """Enter a lift, so that its index is shown."""
    for field, value in zip(
        page.locator(".st-key-one_lift_asked :is(.stNumberInput, .stSelectbox) input").all(), LIFT, strict=False
    ):
        field.fill(value)
        field.press("Enter")
        page.wait_for_timeout(400)
    settled(page)
    page.wait_for_timeout(2500)
    page.locator("h1").scroll_into_view_if_needed()


def main(folder):
    """Serve the demo, take the pictures, end the server."""
    port = free_port()
    with tempfile.TemporaryDirectory() as home:
        url = f"sqlite:///{Path(home) / 'book.sqlite'}"
        book = Book(url)
        book.keep(NAME, practice_case(), who="OB1", why="to be timed")
        book.close()
        env = dict(os.environ) | {"XDG_DATA_HOME": home, "CORESET_BOOK": url}
        command = [sys.executable, "-m", "coreset", "app", str(demo_folder()), "--port", str(port)]
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
