"""The carrier over HTTP: itself, its sites, what it decides, and who is on call."""
