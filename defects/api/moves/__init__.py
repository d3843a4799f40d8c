"""Moves of barred units over HTTP."""
