"""The production code as Python reads it, parsed once for each worker."""

import ast
from functools import cache

from config.env import CHECKOUT

APPS = ("common", "config", "fleet", "defects", "workorders", "pages")


@cache
def modules() -> dict[str, ast.Module]:
    """Every module of the service by its path; migrations say what was, and are left out."""
    paths = (path for app in APPS for path in sorted((CHECKOUT / app).rglob("*.py")) if "migrations" not in path.parts)
    return {str(path.relative_to(CHECKOUT)): ast.parse(path.read_text(encoding="utf-8")) for path in paths}
