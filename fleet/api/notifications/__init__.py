"""Notifications over HTTP: one's own, those that could not leave, and where else they are posted."""
