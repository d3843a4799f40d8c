from collections.abc import Mapping
from typing import Any

class BotoCoreError(Exception): ...

class ClientError(Exception):
    response: Mapping[str, Any]
