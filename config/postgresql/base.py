"""PostgreSQL as Django drives it, without a statement before every request that asks whether the connection lives."""

import select

from django.db.backends.postgresql.base import DatabaseWrapper as PostgreSQLWrapper


class DatabaseWrapper(PostgreSQLWrapper):
    """A server that ends a session says so: a connection on which nothing came in since its last answer lives."""

    def is_usable(self) -> bool:
        """Whether the connection lives; the server is asked only where something came in."""
        if self.connection is None or self.connection.closed:
            return False
        came_in = select.poll()
        came_in.register(self.connection, select.POLLIN)
        return not came_in.poll(0) or super().is_usable()
