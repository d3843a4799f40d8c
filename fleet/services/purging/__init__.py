"""Deleting what is past its days of keeping, through the functions of the database alone, which check again."""

from fleet.services.purging.sweep import Purged, due_records, purge_records

__all__ = ["Purged", "due_records", "purge_records"]
