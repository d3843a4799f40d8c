"""Loads and loads at risk for reading."""
