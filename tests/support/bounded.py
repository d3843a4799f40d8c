"""Runs one function of the service in a process of its own that has so much memory and so many seconds of CPU."""

import pickle
import subprocess
import sys
from collections.abc import Callable

from config.env import CHECKOUT

_CHILD = """
import pickle, resource, sys
from importlib import import_module
module, name, memory, seconds = sys.argv[1:]
asked = getattr(import_module(module), name)
given = pickle.load(sys.stdin.buffer)
taken = int(open("/proc/self/statm").read().split()[0]) * resource.getpagesize()
resource.setrlimit(resource.RLIMIT_AS, (taken + int(memory),) * 2)
spent = sum(resource.getrusage(resource.RUSAGE_SELF)[:2])
resource.setrlimit(resource.RLIMIT_CPU, (int(spent + float(seconds) + 0.999),) * 2)
try:
    answer = asked(*given)
except Exception as error:
    answer = error
pickle.dump(answer, sys.stdout.buffer)
"""


def bounded(asked: Callable[..., object], *given: object, memory: int, cpu_s: float) -> object:
    """Return what the function returns, or the exception it raises, within `memory` bytes beyond those it is given.

    Fails where the process was ended for want of either.
    """
    child = subprocess.run(
        [sys.executable, "-c", _CHILD, asked.__module__, asked.__name__, str(memory), str(cpu_s)],
        input=pickle.dumps(given),
        capture_output=True,
        cwd=CHECKOUT,
        timeout=50,
        check=False,
    )
    assert child.returncode == 0, child.stderr.decode()[-500:]
    return pickle.loads(child.stdout)  # noqa: S301 - of a process of our own
