"""Repair orders, tasks, labor and outside repairs over HTTP: translates, and leaves deciding to services."""
