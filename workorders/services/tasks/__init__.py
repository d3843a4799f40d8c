"""Writes about one task of an order: started, paused, finished, and what was measured."""
