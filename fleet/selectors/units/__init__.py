"""Reads about units: lookup, couplings, meters. Not their documents or history."""
