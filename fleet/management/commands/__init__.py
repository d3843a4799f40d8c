"""One command a file; each reads the clock once and calls one service."""
