"""Writes about units: the units, couplings, mountings and meters. Not their documents or defects."""
