"""The log of a server: one JSON object a line, with request and act, and no secret; its metrics as OpenMetrics text."""

import io
import json
import logging
import re
import urllib.error
import urllib.request

import pytest
from test_door import HOST, ORIGIN, book, client, roles, signed_in  # noqa: F401 - fixtures
from test_routes import body

from coreset.errors import CoresetError
from coreset.web import log, metrics


@pytest.fixture
def written():
    """What the program writes from level info on."""
    root, to = logging.getLogger("coreset"), io.StringIO()
    handler = logging.StreamHandler(to)
    handler.setFormatter(log.JsonLine())
    before = root.level
    root.setLevel(logging.INFO)
    root.addHandler(handler)
    yield lambda: [json.loads(line) for line in to.getvalue().splitlines()]
    root.removeHandler(handler)
    root.setLevel(before)


def test_a_press_is_found_by_its_request_and_its_act(client, book, written):  # noqa: F811 - fixtures
    """The ID that the answer names stands in the act that it led to, by its number in the chain; the code too."""
    answer = client.post("/api/presses", json=body(), headers=signed_in("ob7"))
    assert answer.status_code == 200
    act, told = [line for line in written() if line["event"] in ("act", "answered")]
    assert act["request"] == told["request"] == answer.headers["X-Request-Id"] and act["level"] == "info"
    assert (act["case"], act["act"]) == ("c", 2) and (told["code"], told["status"]) == ("OB7", 200)


def test_refusals_are_told_and_no_secret_is(client, written):  # noqa: F811 - fixtures
    """A role that is too small, nobody signed in, another site: each a warning; neither cookie nor query is written."""
    headers = signed_in("ob7")
    client.put("/api/video/a.mp4?token=geheim", content=b"x", headers=headers | {"content-type": "video/mp4"})
    client.post("/api/presses", json=body(), headers={"origin": ORIGIN})
    client.post("/api/presses", json=body(), headers={"origin": "https://other.example"})
    lines = written()
    assert [(line["event"], line["status"], line.get("code")) for line in lines] == [
        ("refused", 403, "OB7"),
        ("refused", 401, None),
        ("refused", 403, None),
    ]
    assert {line["level"] for line in lines} == {"warning"}
    assert "geheim" not in str(lines) and headers["cookie"].partition("=")[2][:20] not in str(lines)


@pytest.mark.parametrize(
    "text",
    [
        "no connection to postgresql+psycopg://me:geheim@db/coreset",
        "GET /oauth2callback?state=geheim&code=geheim",
        "Cookie=geheim",
    ],
)
def test_a_secret_in_a_message_is_replaced(written, text):
    """Whatever part of the program or library wrote it; a line break cannot begin an event of its own."""
    logging.getLogger("coreset.x").warning("first\n%s", text, extra={"reason": text})
    (line,) = written()
    assert "geheim" not in str(line) and "***" in line["event"] and line["reason"] in line["event"]


def test_a_level_that_is_none_is_refused(monkeypatch):
    """At the start."""
    monkeypatch.setenv("CORESET_LOG_LEVEL", "loud")
    with pytest.raises(CoresetError, match="CORESET_LOG_LEVEL must be one of debug, info, warning, error, got 'loud'"):
        log.level_named("info")


SAMPLE = re.compile(r'[a-z_]+(_total|_bucket|_count|_sum)?(\{([a-z]+="([^"\\\n]|\\[\\"n])*",?)+\})? [0-9.e+-]+')


def test_metrics_are_openmetrics_text_on_this_machine_alone(tmp_path, monkeypatch):
    """By the OpenMetrics specification 1.0: families with a type, `_total`, cumulative buckets up to +Inf, `# EOF`."""
    monkeypatch.setenv("CORESET_BOOK", f"sqlite:///{tmp_path / 'b.sqlite'}")
    kept = metrics.Metrics()
    monkeypatch.setattr(metrics, "METRICS", kept)
    kept.count("coreset_events", event='said "a\\b"\n', level="info")
    for took_s in (0.004, 0.005, 0.2, 60.0):
        kept.observe("coreset_request_seconds", took_s, kind="presses")
    server = metrics.begin(0)
    try:
        host, port = server.server_address
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/metrics", timeout=30) as answer:
            text = answer.read().decode()
            assert answer.headers["Content-Type"].startswith("application/openmetrics-text; version=1.0.0")
        with pytest.raises(urllib.error.HTTPError, match="404"):
            urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=30)
    finally:
        server.shutdown()
        server.server_close()
    assert host == "127.0.0.1" and text.endswith("\n# EOF\n")
    samples = [line for line in text.splitlines() if not line.startswith("# ")]
    assert all(SAMPLE.fullmatch(line) for line in samples), samples
    assert 'coreset_events_total{event="said \\"a\\\\b\\"\\n",level="info"} 1' in samples
    counts = [line.partition("} ")[2] for line in samples if "_bucket" in line]
    assert counts == ["2"] * 5 + ["3"] * 6 + ["4"] and 'le="+Inf"} 4' in text
    assert 'coreset_request_seconds_count{kind="presses"} 4' in samples
    assert 'coreset_ready{check="database"} 1' in samples and 'coreset_ready{check="disk"} 1' in samples
