"""Settings, addresses and processes of the service; the only package that knows all apps.

Imports nothing on its own: the web process must not load Celery.
"""
