"""Creates, escalates, groups and delivers notifications. Decides nothing about what they are of."""
