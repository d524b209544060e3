"""Connections that send no whole request are dropped in time; if there are many, oldest first."""

import asyncio
from typing import Any, ClassVar

from uvicorn.protocols.http.h11_impl import H11Protocol

# Time limit for a request's headers [s], and how many connections may be waiting to send them.
_HEADER_SECONDS, _MOST_WAITING = 10.0, 200


class Patient(H11Protocol):
    """A uvicorn connection with a timeout for its request headers."""

    _waiting: ClassVar[dict["Patient", asyncio.TimerHandle]] = {}

    def connection_made(self, transport: Any) -> None:
        """A client connects; the timeout runs until its headers have arrived."""
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Bytes of a request."""
        super().data_received(data)
        if self.cycle is None or self.cycle.response_complete:
            self._wait()
        else:
            self._no_longer()

    def connection_lost(self, exc: Exception | None) -> None:
        """The client has disconnected."""
        self._no_longer()
        super().connection_lost(exc)

    def _wait(self) -> None:
        if self in self._waiting or self.transport.is_closing():
            return
        self._waiting[self] = self.loop.call_later(_HEADER_SECONDS, self._give_up)
        if len(self._waiting) > _MOST_WAITING:
            next(iter(self._waiting))._give_up()

    def _no_longer(self) -> None:
        timer = self._waiting.pop(self, None)
        if timer is not None:
            timer.cancel()

    def _give_up(self) -> None:
        self._no_longer()
        self.transport.close()
