"""Creates the notifications that remind of documents, and says what ends them. Delivers none."""
