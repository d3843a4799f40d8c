import logging

from gunicorn.config import Config

class Logger:
    error_log: logging.Logger
    access_log: logging.Logger
    error_fmt: str
    access_fmt: str
    datefmt: str
    def __init__(self, cfg: Config) -> None: ...
    def setup(self, cfg: Config) -> None: ...
