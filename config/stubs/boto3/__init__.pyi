from typing import Any

from botocore.config import Config

def client(
    service_name: str,
    *,
    endpoint_url: str | None = None,
    region_name: str | None = None,
    aws_access_key_id: str | None = None,
    aws_secret_access_key: str | None = None,
    config: Config | None = None,
) -> Any: ...
