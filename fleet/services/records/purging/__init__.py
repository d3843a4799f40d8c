"""Deletes what is past its retention, through the database's own functions. Sets no retention."""
