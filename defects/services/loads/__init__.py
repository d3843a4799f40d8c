"""Loads and records of those at risk: ordered, loaded, sealed, delivered, written up. Not whether one may roll."""
