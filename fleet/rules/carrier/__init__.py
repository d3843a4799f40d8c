"""Which policies a carrier may set, and their shapes."""
