"""Documents over HTTP: dated papers and their scans, the list of what ends, and feeds of it."""
