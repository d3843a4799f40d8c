"""When a notification leaves and escalates, and where webhooks may go. Not what it says."""
