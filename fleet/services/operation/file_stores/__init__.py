"""Where files lie by their hash: a folder or a bucket. Not which files are kept."""
