"""How tires wear, over HTTP."""
