"""What can go wrong before the local database accepts connections."""


class LocalPostgresError(Exception):
    """The local database cannot run; the message says why and what to do, and is meant for a person."""
