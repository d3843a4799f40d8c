"""The sentences of the shop."""
