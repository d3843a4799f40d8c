"""Reads about documents: their status on a day and the expiry list. Not the files' bytes."""
