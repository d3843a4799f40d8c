"""Which tests run, and which go first.

The long forms of some checks are marked `drill`: left out unless asked for with `--drills`, which runs them alone.
Files that take long are marked `long` and go first, so that no worker is left alone with one at the end.
"""

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add the option."""
    parser.addoption("--drills", action="store_true", help="run the tests marked `drill`, and no others")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Keep the drills, or everything else; bring the long files forward."""
    wanted = bool(config.getoption("--drills"))
    left_out = {item for item in items if (item.get_closest_marker("drill") is not None) != wanted}
    if left_out:
        config.hook.pytest_deselected(items=[item for item in items if item in left_out])
    kept = (item for item in items if item not in left_out)
    items[:] = sorted(kept, key=lambda item: item.get_closest_marker("long") is None)
