"""The loopback address where the demo listens, opened before anything is started behind it."""

import errno
import socket

from config.local.errors import LocalServiceError

FIRST_PORT = 8000
LAST_PORT = 8099
HIGHEST_PORT = 65_535


def open_door(wanted: str) -> socket.socket:
    """Return a listening socket on the wanted port, or on the first free one from 8000 when none is wanted."""
    if wanted and not (wanted.isascii() and wanted.isdigit() and 0 < int(wanted) <= HIGHEST_PORT):
        raise LocalServiceError(f"PORT is {wanted!r}, must be a number from 1 to {HIGHEST_PORT}")
    for port in [int(wanted)] if wanted else range(FIRST_PORT, LAST_PORT + 1):
        try:
            return socket.create_server(("127.0.0.1", port))
        except OSError as why:
            if why.errno != errno.EADDRINUSE:
                raise LocalServiceError(f"port {port} of 127.0.0.1 cannot be opened: {why.strerror}") from why
    taken = f"port {wanted} of 127.0.0.1 is" if wanted else f"the ports {FIRST_PORT} to {LAST_PORT} of 127.0.0.1 are"
    raise LocalServiceError(f"{taken} taken; name another with PORT=…")
