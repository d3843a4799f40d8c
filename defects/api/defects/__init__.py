"""Defects over HTTP: lists, one defect's page, and what may be done with it."""
