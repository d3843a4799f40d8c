"""The door for gunicorn."""

from django.core.wsgi import get_wsgi_application

from config.env import choose_settings

choose_settings("config.settings.base")
application = get_wsgi_application()
