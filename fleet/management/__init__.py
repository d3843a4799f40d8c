"""Commands of what the carrier owns."""
