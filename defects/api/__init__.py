"""How what drivers find is said over HTTP. Decides nothing."""
