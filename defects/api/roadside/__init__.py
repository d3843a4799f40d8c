"""Officers' inspections over HTTP."""
