"""The server: it listens on this machine only, at a port and with a token of its own."""

from __future__ import annotations

import secrets
import socket

import uvicorn

from nests.faces.page.bench import Bench
from nests.faces.page.guard import Guard
from nests.faces.page.serving import Serving
from nests.units import BadInput


class Open:
    """A server that is open: its address with the token; `run` serves until it is told to end."""

    def __init__(self, bench: Bench, port: int = 0) -> None:
        """Take a port, a free one for 0. Raises `BadInput`."""
        # asyncio sends small answers at once (TCP_NODELAY) only where the protocol is named;
        # else the end of each waits 40 ms for an acknowledgement
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        self.socket.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            self.socket.bind(("127.0.0.1", port))
            self.socket.listen(64)  # whoever is told the address may come at once
        except (OSError, OverflowError) as error:
            self.socket.close()
            raise BadInput(f"port {port} cannot be used here: {error}.") from None
        self.port = self.socket.getsockname()[1]
        token = secrets.token_urlsafe(24)
        self.address = f"http://127.0.0.1:{self.port}/?token={token}"
        guarded = Guard(Serving(bench).application(), self.port, token)
        config = uvicorn.Config(
            guarded, log_level="error", access_log=False, lifespan="off", server_header=False,
            ws="none", timeout_graceful_shutdown=1, proxy_headers=False,
        )  # fmt: skip
        self.server, self.bench = uvicorn.Server(config), bench

    def run(self) -> None:
        """Serve until told to end."""
        try:
            self.server.run(sockets=[self.socket])
        finally:
            self.bench.close()
            self.socket.close()
