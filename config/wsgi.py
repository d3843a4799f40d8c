"""The door for gunicorn."""

import gc

from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

from config.env import choose_settings

gc.disable()  # loading makes no garbage, and searching for it takes a tenth of the start
choose_settings("config.settings.base")
application = get_wsgi_application()
get_resolver().check()  # loads every view now, and not in each process at its first request
gc.freeze()  # what is loaded stays: it is never searched, and so never copied by the processes that are forked
gc.enable()
