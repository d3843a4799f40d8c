"""Writes about repair orders: opened, joined, moved, settled, ended, assigned. Not the work on one task."""
