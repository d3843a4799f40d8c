"""How gunicorn runs the service; the demo overrides the address and the number of workers on its command line.

Synchronous workers: with persistent connections they answer fastest, and each holds one connection to the
database. Their number comes from gunicorn's own WEB_CONCURRENCY. A slow client would hold one for as long as it likes:
what faces the network is the proxy of config/deploy/nginx.conf, which hands on whole requests.
"""

from django.conf import settings

from config.env import choose_settings, or_exit

choose_settings("config.settings.base")
with or_exit():
    forwarded_allow_ips = ",".join(settings.TRUSTED_PROXIES)
    """Whose word is taken for the scheme of a request."""
secure_scheme_headers = {"X-FORWARDED-PROTO": "https"}
bind = "127.0.0.1:8000"
limit_request_line = 8190
"""As long as the proxy lets one through, which refuses a longer one itself, with a problem document."""
preload_app = True
"""The service is loaded once and its processes are forked from it: they start at once and share what is loaded."""
timeout = 30
graceful_timeout = 25
max_requests = 10_000
max_requests_jitter = 1_000
logger_class = "config.gunicorn_logs.ServiceLogger"
control_socket_disable = True
"""Nothing outside the checkout is written, and nothing answers but the service."""
