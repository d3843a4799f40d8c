"""Loads."""
