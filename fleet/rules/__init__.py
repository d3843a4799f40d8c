"""Pure rules of what the carrier owns: documents, serial numbers, meters, keeping. No Django, clock or database."""
