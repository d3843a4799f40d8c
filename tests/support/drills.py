"""The long forms of some checks, marked `drill`: left out unless asked for with `--drills`, which runs them alone."""

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add the option."""
    parser.addoption("--drills", action="store_true", help="run the tests marked `drill`, and no others")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Keep the drills, or everything else."""
    wanted = bool(config.getoption("--drills"))
    left_out = [item for item in items if (item.get_closest_marker("drill") is not None) != wanted]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if item not in set(left_out)]
