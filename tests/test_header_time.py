"""Half-open requests are ended in time; whole ones, slow bodies and sockets are not."""

import asyncio
import socket
import threading
import time

import pytest
import uvicorn
from browsers import free_port
from uvicorn import config

from coreset.web import header_time

LIMIT_S = 0.5


async def app(scope, receive, send):
    """Answers with the length of the body; a socket is held open for as long as the other side likes."""
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.accept"})
        await receive()
        return
    body, more = b"", True
    while more:
        message = await receive()
        body, more = body + message.get("body", b""), message.get("more_body", False)
    await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"2")]})
    await send({"type": "http.response.body", "body": b"%02d" % len(body)})


@pytest.fixture
def port(monkeypatch):
    """A server whose limit is short, chosen as the pages' own server chooses it."""
    monkeypatch.setattr(header_time, "HEAD_S", LIMIT_S)
    monkeypatch.setitem(config.HTTP_PROTOCOLS, "auto", config.HTTP_PROTOCOLS["auto"])
    header_time.limit_head_time()
    found = free_port()
    server = uvicorn.Server(
        uvicorn.Config(app, port=found, lifespan="off", log_level="error", ws="websockets-sansio", loop="asyncio")
    )
    thread = threading.Thread(target=lambda: asyncio.run(server.serve()))
    thread.start()
    while not server.started:
        time.sleep(0.01)
    yield found
    server.should_exit = True
    thread.join()


def ended_after_s(sent, port, drip=b"", first=b""):
    """Seconds until the server ends a connection on which that was sent, and now and then a byte; None if never."""
    with socket.create_connection(("127.0.0.1", port)) as one:
        if first:
            one.sendall(first)
            one.recv(1000)
        one.sendall(sent)
        begun = time.monotonic()
        one.settimeout(0.1)
        while time.monotonic() - begun < 6 * LIMIT_S:
            try:
                if drip:
                    one.sendall(drip)
                if one.recv(1000) == b"":
                    return time.monotonic() - begun
            except TimeoutError:
                continue
            except OSError:
                return time.monotonic() - begun
    return None


WHOLE = b"GET / HTTP/1.1\r\nHost: a\r\n\r\n"


@pytest.mark.parametrize(
    ("sent", "drip", "first"),
    [(b"", b"", b""), (b"GET / HT", b"", b""), (b"GET / HTTP/1.1\r\nA: ", b"a", b""), (b"GET / HT", b"", WHOLE)],
)
def test_a_half_open_request_is_ended(port, sent, drip, first):
    """Nothing sent, half a line, a header without end byte by byte, and the second request of a connection."""
    assert LIMIT_S / 2 < ended_after_s(sent, port, drip, first) < 4 * LIMIT_S


@pytest.mark.slow
def test_a_slow_body_and_a_socket_stay(port):
    """The limit is for the head alone; how long a body may take is each route's own."""
    with socket.create_connection(("127.0.0.1", port)) as one:
        one.sendall(b"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 4\r\n\r\nab")
        time.sleep(2 * LIMIT_S)
        one.sendall(b"cd")
        assert one.recv(1000).startswith(b"HTTP/1.1 200")
    upgrade = b"Connection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: "
    with socket.create_connection(("127.0.0.1", port)) as one:
        one.sendall(b"GET / HTTP/1.1\r\nHost: a\r\n" + upgrade + b"AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n")
        assert one.recv(1000).startswith(b"HTTP/1.1 101")
        one.settimeout(3 * LIMIT_S)
        with pytest.raises(TimeoutError):
            one.recv(1000)
