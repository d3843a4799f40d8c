"""Reads over several tables of what drivers find. Nothing here writes."""
