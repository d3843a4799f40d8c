"""Reads for whoever runs the service. Nothing of the trade."""
