"""How gunicorn writes its own logs, the access log among them where one is asked for: as the service writes its own."""

from gunicorn.config import Config
from gunicorn.glogging import Logger

from config import env
from config.log_lines import FORMATTERS, PlainLines


class ServiceLogger(Logger):
    """Gunicorn's logger; plain or JSON as LOG_FORMAT says, without the tokens in addresses."""

    def setup(self, cfg: Config) -> None:
        """Set up both logs and let our formatter write them."""
        super().setup(cfg)
        lines = FORMATTERS.get(env.given("LOG_FORMAT"), PlainLines)  # any other value is refused with the settings
        for log, form in ((self.error_log, self.error_fmt), (self.access_log, self.access_fmt)):
            for handler in log.handlers:
                handler.setFormatter(lines(form, self.datefmt))
