"""Documents over HTTP: dated documents and their scans, the list of what ends, and feeds of it."""
