"""A connection that does not send the whole head of its request in time is ended: half-open ones hold no place."""

from __future__ import annotations

import asyncio
from typing import cast

import h11
from uvicorn import config
from uvicorn.protocols.http.h11_impl import H11Protocol

HEAD_S = 10.0
"""Longest time from the connection, or from the first byte of a further request, to the end of its head. [s]"""


class TimedHead(H11Protocol):
    """HTTP as the web server speaks it, with a time limit for the head of a request."""

    _late: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Begin to wait for the first head."""
        super().connection_made(cast(asyncio.Transport, transport))
        self._watch()

    def data_received(self, data: bytes) -> None:
        """Wait on while the head is not whole."""
        super().data_received(data)
        self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no longer."""
        self._stop()
        super().connection_lost(exc)

    def _watch(self) -> None:
        if self.conn.their_state is not h11.IDLE or self.transport.get_protocol() is not self:  # whole, or a socket
            self._stop()
        elif self._late is None:
            self._late = self.loop.call_later(HEAD_S, self.transport.abort)

    def _stop(self) -> None:
        if self._late is not None:
            self._late.cancel()
            self._late = None


def limit_head_time() -> None:
    """Let the web server speak HTTP so; it chooses by this table."""
    config.HTTP_PROTOCOLS["auto"] = f"{__name__}:{TimedHead.__name__}"
