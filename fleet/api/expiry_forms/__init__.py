"""The expiry list in forms that other programs read: comma-separated text, a sheet, a calendar."""
