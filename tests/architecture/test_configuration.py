"""Every variable that the service reads can be found in README and in .env.example, and is given to the containers."""

import re

import yaml

from config.env import CHECKOUT, Environment

READ = {name.upper() for name in Environment.model_fields}
OF_THE_IMAGE = {"MEDIA_ROOT", "HISTORY_DIGEST_DIR", "STATIC_ROOT"}
"""Folders that the image names and volumes stand behind."""
OF_THE_DEMO = {"LOCAL_DEMO"}
OF_A_PLAIN_HOST = {"POSTGRESQL_PROGRAMS"}
"""The image has those programs where they are looked for."""


def test_table_of_configuration__names_each_and_no_other() -> None:
    text = (CHECKOUT / "README.md").read_text()
    table = text.partition("## Configuration")[2].partition("\n## ")[0]
    named = {name for row in re.findall(r"^\| (`.+?) \|", table, re.MULTILINE) for name in re.findall("`(.+?)`", row)}
    assert named == READ - OF_THE_DEMO


def test_containers__are_given_each() -> None:
    services = yaml.safe_load((CHECKOUT / "docker-compose.yml").read_text())["services"]
    given = {name for service in ("web", "worker", "beat") for name in services[service]["environment"]}
    assert READ - OF_THE_DEMO - OF_THE_IMAGE - OF_A_PLAIN_HOST - given == set()


def test_example__names_each_that_is_read_once_with_a_sentence_and_no_other() -> None:
    compose = set(re.findall(r"\$\{([A-Z_]+)[:}]", (CHECKOUT / "docker-compose.yml").read_text()))
    blocks = re.findall(r"((?:^# .+\n)*)^#?([A-Z_]+)=", (CHECKOUT / ".env.example").read_text(), re.MULTILINE)
    assert sorted(name for _, name in blocks) == sorted(READ | compose)
    assert [name for sentence, name in blocks if not sentence.strip().endswith((".", "?"))] == []


def test_image__names_its_folders() -> None:
    text = (CHECKOUT / "Dockerfile").read_text()
    assert OF_THE_IMAGE - set(re.findall(r"([A-Z_]+)=/srv/", text)) == set()
