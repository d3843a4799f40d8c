from typing import Any

from playwright.sync_api import Page

class AxeResults:
    response: dict[str, Any]

class Axe:
    def __init__(self) -> None: ...
    def run(self, page: Page, *, options: dict[str, Any] | None = ...) -> AxeResults: ...
