"""The handlers, one file for each noun: they translate, and leave deciding to services."""
