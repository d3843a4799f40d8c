"""The services of docker-compose.yml as processes of this machine: their own commands, variables and health checks."""

import os
import re
import secrets
import shlex
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import yaml

from config.env import CHECKOUT

WAIT_S = 60.0
STOP_WAIT_S = 10.0
VALUE = re.compile(r"^([A-Z_]+)=$", re.MULTILINE)
"""What `.env.example` leaves to be filled in."""


class CheckFailedError(Exception):
    """What did not happen, with what the processes said."""


def until(what: str, happened: Callable[[], bool], *must_live: Callable[[], None]) -> None:
    """Wait for it, and say that it happened; CheckFailedError when it does not, or what must live has ended."""
    gives_up_at = time.monotonic() + WAIT_S
    while not happened():
        for check in must_live:
            check()
        if time.monotonic() > gives_up_at:
            raise CheckFailedError(f"not within {WAIT_S:.0f} s: {what}")
        time.sleep(0.1)
    sys.stdout.write(f"  {what}\n")


class Services:
    """What docker-compose itself reads from its file, with a filled-in `.env.example`.

    `elsewhere` is what stands at another place here: texts in commands, values and health checks, and what for.
    """

    def __init__(self, bin_folder: Path, folder: Path, given: Mapping[str, str], elsewhere: Mapping[str, str]) -> None:
        self._bin = bin_folder
        self._folder = folder
        self._elsewhere = elsewhere
        env_file = folder / "env"
        example = (CHECKOUT / ".env.example").read_text()
        filled = VALUE.sub(lambda empty: f"{empty[1]}={given.get(empty[1]) or secrets.token_hex(32)}", example)
        env_file.write_text(filled + "".join(f"{name}={value}\n" for name, value in given.items()))
        command = ["docker-compose", "--env-file", str(env_file), "config"]
        read = subprocess.run(command, cwd=CHECKOUT, env={"PATH": os.environ["PATH"]}, capture_output=True, text=True)  # noqa: PLW1510 - looked at below
        if read.returncode != 0:
            raise CheckFailedError(read.stderr)
        self._services: dict[str, Any] = yaml.safe_load(read.stdout)["services"]
        image = (CHECKOUT / "Dockerfile").read_text()
        self._image = dict(re.findall(r"([A-Z_]+)=(config\.\S+|/srv/\S+)", image))

    def variables(self, name: str) -> dict[str, str]:
        """What the service's process is given: the image's variables and its own, and nothing of this process."""
        given = {key: str(value) for key, value in (self._services[name].get("environment") or {}).items()}
        there = {**self._image, **given, "TMPDIR": str(self._folder)}
        return {"PATH": f"{self._bin}:/usr/bin:/bin", **{key: self._here(value) for key, value in there.items()}}

    def run(self, name: str, words: Sequence[str] = (), said: str = "") -> None:
        """Run a service's own command, or another in its place, to its end."""
        words = words or self._services[name]["command"]
        done = subprocess.run(
            self._words(words), cwd=CHECKOUT, env=self.variables(name),
            input=said, capture_output=True, text=True, check=False,
        )  # fmt: skip
        if done.returncode != 0:
            raise CheckFailedError(f"{' '.join(words)}:\n{done.stdout}{done.stderr}")

    @contextmanager
    def running(self, name: str, *more: str, once: str = "") -> Iterator[Callable[[], None]]:
        """Run a service until the block ends, which begins once it is healthy, or has said something.

        Gives what raises when it has ended by itself.
        """
        with (self._folder / f"{name}.log").open("ab") as output:
            process = subprocess.Popen(
                [*self._words(self._services[name]["command"]), *more], cwd=CHECKOUT, env=self.variables(name),
                start_new_session=True, stdin=subprocess.DEVNULL, stdout=output, stderr=output,
            )  # fmt: skip

        def must_live() -> None:
            if process.poll() is not None:
                raise CheckFailedError(f"{name} ended with {process.returncode}:\n{self.log(name)}")

        try:
            if once:
                until(f"{name} says: {once}", lambda: once in self.log(name), must_live)
            else:
                until(f"{name} is healthy", lambda: self.healthy(name), must_live)
            yield must_live
            must_live()
        finally:
            _end(process)

    def log(self, name: str) -> str:
        """All that the service said."""
        return (self._folder / f"{name}.log").read_text(errors="replace")

    def healthy(self, name: str) -> bool:
        """Whether the service's own health check says so."""
        kind, *words = self._services[name]["healthcheck"]["test"]
        if kind == "CMD-SHELL":
            words = shlex.split(words[0].replace("$$", "$").replace("$HOSTNAME", socket.gethostname()))
        done = subprocess.run(
            self._words(words), cwd=CHECKOUT, env=self.variables(name), capture_output=True, check=False
        )
        return done.returncode == 0

    def _words(self, words: Sequence[str]) -> list[str]:
        """A command, its program taken from the production environment where that has it."""
        program, *others = shlex.split(self._here(shlex.join(words)))
        ours = self._bin / program
        return [str(ours) if ours.exists() else program, *others]

    def _here(self, text: str) -> str:
        for there, here in self._elsewhere.items():
            text = text.replace(there, here)
        return text


def _end(process: "subprocess.Popen[bytes]") -> None:
    if process.poll() is None:
        process.terminate()
        try:
            process.wait(STOP_WAIT_S)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()
