"""Holds over HTTP."""
