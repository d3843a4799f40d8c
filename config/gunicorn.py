"""How gunicorn runs the service; the demo overrides the address and the number of workers on its command line.

Synchronous workers: with persistent connections they answer fastest, and each holds one connection to the
database. Their number comes from gunicorn's own WEB_CONCURRENCY.
"""

bind = "0.0.0.0:8000"
worker_class = "config.gunicorn_worker.ProblemWorker"
"""Synchronous."""
timeout = 30
graceful_timeout = 25
max_requests = 10_000
max_requests_jitter = 1_000
forwarded_allow_ips = "*"
"""The proxy's header is believed only with BEHIND_TLS_PROXY=1; the port is never published past the proxy."""
logger_class = "config.gunicorn_logs.MaskingLogger"
control_socket_disable = True
"""Nothing outside the checkout is written, and nothing answers but the service."""
