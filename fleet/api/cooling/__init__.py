"""Cooling readings and forecasts over HTTP."""
