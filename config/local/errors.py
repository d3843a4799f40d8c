"""What can go wrong when the service runs on one machine; every message is meant for a person."""


class LocalServiceError(Exception):
    """The demo, its database or another part of it cannot run; the message says why and what to do."""
