"""Photos over HTTP, sent and given as the files themselves."""
