"""What to look at on one combination, over HTTP."""
