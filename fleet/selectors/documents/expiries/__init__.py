"""The expiry list for one person: documents and qualifications that end or are missing."""
