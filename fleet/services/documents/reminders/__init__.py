"""Creates the notifications that remind of documents. Delivers none."""
