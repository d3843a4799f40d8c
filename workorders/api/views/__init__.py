"""The handlers, one file for each noun."""
