"""A Chromium in a process of its own, on a profile that outlives it, to be killed or halted as by a machine asleep."""

import os
import signal
import subprocess
import urllib.request

from browsers import CHROMIUM, FLAGS, free_port
from floor import until


class Browser:
    """A browser that may be ended or halted at any moment, with every process that it started."""

    def __init__(self, playwright, profile):
        self.playwright, self.profile, self.process = playwright, profile, None

    def start(self):
        """Start it on the profile; its page."""
        port = free_port()
        command = [CHROMIUM, *FLAGS, "--headless=new", f"--remote-debugging-port={port}"]
        self.process = subprocess.Popen(
            [*command, f"--user-data-dir={self.profile}", "about:blank"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        until(lambda: self.answers(port))
        browser = self.playwright.chromium.connect_over_cdp(f"http://127.0.0.1:{port}")
        context = browser.contexts[0]
        return context.pages[0] if context.pages else context.new_page()

    def answers(self, port):
        """Whether it can be driven."""
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/json/version", timeout=1):
                return True
        except OSError:
            return False

    def signal(self, number):
        """Send a signal to every process of it."""
        os.killpg(self.process.pid, number)

    def kill(self):
        """End it at once."""
        if self.process and self.process.poll() is None:
            self.signal(signal.SIGKILL)
            self.process.wait()
