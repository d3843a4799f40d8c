"""Loads over HTTP."""
