"""Dispatch's question and the yard."""
