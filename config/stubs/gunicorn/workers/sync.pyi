from typing import Any

from gunicorn.http.message import Request

class SyncWorker:
    def handle_error(self, req: Request | None, client: Any, addr: Any, exc: BaseException) -> None: ...
