"""A real PostgreSQL on one machine for the demo and the tests, and the demo itself; never for production."""
