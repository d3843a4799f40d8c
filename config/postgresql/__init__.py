"""The database engine of the settings; Django looks for it in `base`."""
