"""Making a unit's file (396.3): the records as JSON, one readable PDF, scans and photos, and hashes of all of it."""

from fleet.services.unit_files.make import FileAsked, MadeFile, make_unit_file

__all__ = ["FileAsked", "MadeFile", "make_unit_file"]
