"""What the tests stand on: the database, its clones, a real server process, what a machine must have."""
