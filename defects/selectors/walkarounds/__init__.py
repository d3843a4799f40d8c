"""Walk-arounds as they were signed: receipts, reports, photos, and the list of what to check."""
