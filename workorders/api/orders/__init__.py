"""Repair orders over HTTP: opened at the desk, moved, shown with their tasks."""
