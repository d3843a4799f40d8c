"""The door for an ASGI server; production runs WSGI, because Django keeps no connection open under ASGI."""

from django.core.asgi import get_asgi_application

from config.env import choose_settings

choose_settings("config.settings.base")
application = get_asgi_application()
