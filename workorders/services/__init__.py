"""Writes of the shop, one file for each verb. Each locks the unit first and writes its history last."""
