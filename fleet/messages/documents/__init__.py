"""What is said of documents, their expiry list and files, and of reminders."""
