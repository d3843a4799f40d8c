"""A folder with database, files and digests of one moment, and the way back from it."""
