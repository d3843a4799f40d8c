"""Reads about people: lookup, who is signed in, what a person may see."""
