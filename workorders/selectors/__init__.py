"""Reads over several tables of the shop. Nothing here writes."""
