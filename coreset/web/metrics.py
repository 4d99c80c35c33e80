"""Counters and times of this server as OpenMetrics text, on a port of this machine alone.

Written by the OpenMetrics specification 1.0 (text format: families, suffixes, escaping, `# EOF`).
"""

from __future__ import annotations

import os
import threading
import time
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from coreset.errors import CoresetError

VARIABLE = "CORESET_METRICS_PORT"
"""Environment variable with the port; none without it."""
LOOPBACK = "127.0.0.1"
CONTENT_TYPE = "application/openmetrics-text; version=1.0.0; charset=utf-8"
BUCKETS = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)
"""Upper ends of the classes of a time. [s]"""
STATM = Path("/proc/self/statm")
"""Where Linux tells the memory of a process, in pages."""
BEGUN = time.monotonic()
MOST = 2000
"""Lines of one family at most: what is counted beyond is counted under no label."""
HELP = {
    "coreset_requests": "Requests answered, by kind and status.",
    "coreset_request_seconds": "Time to the end of an answer.",
    "coreset_events": "Events of the log, acts, sign-ins and refusals among them.",
}
Labels = tuple[tuple[str, str], ...]


class Metrics:
    """Counts and times since the start of the process; safe from any thread."""

    def __init__(self) -> None:
        self._one = threading.Lock()
        self._counts: dict[str, dict[Labels, int]] = defaultdict(lambda: defaultdict(int))
        self._times: dict[str, dict[Labels, list[float]]] = defaultdict(dict)

    def count(self, family: str, **labels: str) -> None:
        """One more of a family."""
        with self._one:
            lines, key = self._counts[family], tuple(sorted(labels.items()))
            lines[key if key in lines or len(lines) < MOST else ()] += 1

    def observe(self, family: str, took_s: float, **labels: str) -> None:
        """One more time of a family. [s]"""
        with self._one:
            found = self._times[family].setdefault(tuple(sorted(labels.items())), [0.0] * (len(BUCKETS) + 2))
            found[bisect_left(BUCKETS, took_s)] += 1
            found[-1] += took_s

    def text(self, gauges: dict[str, dict[Labels, float]]) -> str:
        """All of it, with values of this moment by family and labels."""
        with self._one:
            lines = [*self._counters(), *self._histograms()]
        for family, values in gauges.items():
            lines += [f"# TYPE {family} gauge", *(f"{family}{_braces(key)} {_number(v)}" for key, v in values.items())]
        return "\n".join([*lines, "# EOF", ""])

    def _counters(self) -> Iterator[str]:
        for family, values in sorted(self._counts.items()):
            yield from _heads(family, "counter")
            for key, value in sorted(values.items()):
                yield f"{family}_total{_braces(key)} {value}"

    def _histograms(self) -> Iterator[str]:
        for family, values in sorted(self._times.items()):
            yield from _heads(family, "histogram")
            yield f"# UNIT {family} seconds"
            for key, found in sorted(values.items()):
                so_far = 0.0
                for end, number in zip((*BUCKETS, "+Inf"), found, strict=False):
                    so_far += number
                    yield f"{family}_bucket{_braces((*key, ('le', str(end))))} {_number(so_far)}"
                yield f"{family}_count{_braces(key)} {_number(so_far)}"
                yield f"{family}_sum{_braces(key)} {_number(found[-1])}"


METRICS = Metrics()


def _heads(family: str, kind: str) -> Iterator[str]:
    yield f"# TYPE {family} {kind}"
    yield f"# HELP {family} {HELP[family]}"


def _braces(labels: Labels) -> str:
    escaped = (f'{name}="{value.translate(ESCAPES)}"' for name, value in labels)
    return "{" + ",".join(escaped) + "}" if labels else ""


ESCAPES = str.maketrans({"\\": "\\\\", '"': '\\"', "\n": "\\n"})


def _number(value: float) -> str:
    return str(int(value)) if value == int(value) else repr(value)


def now() -> dict[str, dict[Labels, float]]:
    """Values of this moment: each check of readiness (1 good, 0 not), memory [bytes], processor time [s]."""
    from coreset.web.health import checks, failed

    found = checks()
    wrong = set(failed(found))
    values: dict[str, dict[Labels, float]] = {
        "coreset_ready": {(("check", name),): float(name not in wrong) for name in found},
        "process_cpu_seconds": {(): time.process_time()},
        "process_uptime_seconds": {(): time.monotonic() - BEGUN},
    }
    if STATM.exists():
        used = int(STATM.read_text(encoding="ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE")
        values["process_resident_memory_bytes"] = {(): float(used)}
    return values


class _Asked(BaseHTTPRequestHandler):
    """GET /metrics, and nothing else."""

    def do_GET(self) -> None:  # noqa: N802 - name by the standard library
        body = METRICS.text(now()).encode() if self.path == "/metrics" else b""
        self.send_response(200 if body else 404)
        self.send_header("Content-Type", CONTENT_TYPE)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - name by the standard library
        """Write no line for each question."""


def port() -> int:
    """The port that the environment asks for; 0 for none.

    Raises
    ------
    CoresetError
        If it is none.
    """
    given = os.environ.get(VARIABLE, "").strip() or "0"
    if not given.isdecimal() or int(given) > 65535:
        raise CoresetError(f"{VARIABLE} must be a port, got {given[:40]!r}")
    return int(given)


def begin(at: int) -> ThreadingHTTPServer:
    """Answer at that port of this machine, in a thread of its own, until closed."""
    server = ThreadingHTTPServer((LOOPBACK, at), _Asked)
    threading.Thread(target=server.serve_forever, name="metrics", daemon=True).start()
    return server
