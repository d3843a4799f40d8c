"""Refusals of units by drivers over HTTP."""
