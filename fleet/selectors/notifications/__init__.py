"""Reads about notifications: a person's list, parked deliveries, who can be reached."""
