"""Signing links over HTTP, what an outsider does with one, and who confirmed a firm."""
