"""Reads over several tables of what the carrier owns, one package for each noun. Nothing here writes."""
