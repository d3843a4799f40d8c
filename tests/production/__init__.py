"""A check outside the suite: whether docker-compose.yml and requirements/production.txt alone do the work."""
