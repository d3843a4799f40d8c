"""How gunicorn writes its own logs, the access log among them where one is asked for: without tokens."""

from gunicorn.config import Config
from gunicorn.glogging import Logger

from config.masking import MaskTokens


class MaskingLogger(Logger):
    """Gunicorn's logger; requests are told without the tokens in their addresses."""

    def setup(self, cfg: Config) -> None:
        """Set up both logs and put the mask before them."""
        super().setup(cfg)
        for log in (self.error_log, self.access_log):
            log.addFilter(MaskTokens())
