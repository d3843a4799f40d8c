"""The catalogue of points over HTTP."""
