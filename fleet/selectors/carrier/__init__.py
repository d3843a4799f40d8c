"""Reads about the carrier: its day, sites and policies. Not its documents."""
