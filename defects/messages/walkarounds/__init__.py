"""What is said of walk-arounds: receipts, flags on what was sent, reports and photos."""
