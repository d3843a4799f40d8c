"""Where files lie by their hash: a folder, or a bucket where the settings name one. What is kept is `files`' matter."""

from fleet.services.file_stores.choice import FileStore, the_store

__all__ = ["FileStore", "the_store"]
