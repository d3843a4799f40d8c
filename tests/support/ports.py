"""A port of the loopback address for a program that must be told one."""

import secrets
import socket

FIRST, COUNT = 20_000, 12_000
"""Below the ports that the kernel hands out by itself, so that no connection takes one meanwhile."""


def free_port() -> int:
    """Return a port that was free a moment ago; nobody else is likely to choose the same."""
    while True:
        port = FIRST + secrets.randbelow(COUNT)
        try:
            socket.create_server(("127.0.0.1", port)).close()
        except OSError:
            continue
        return port
