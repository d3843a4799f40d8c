"""Loads at risk over HTTP."""
