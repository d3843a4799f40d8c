"""What the records of defects tell an auditor, an export or a recount. The unit file is in its own room."""
