"""Which release this is, as `pyproject.toml` says, which the image does not hold."""

RELEASE = "0.1.0"
