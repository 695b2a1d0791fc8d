"""The work of a book, shared out: to processes of this machine, or to the workers of a Dask cluster.

Both are backends of joblib, so that it is one piece of work either way. Outcomes come as they are ready.
"""

from __future__ import annotations

import os
from contextlib import contextmanager
from functools import cache
from socket import create_connection
from threading import Thread
from time import sleep
from typing import TYPE_CHECKING, Any, NamedTuple

from drumgen import __version__
from drumgen.binding.making import Outcome, make_output
from drumgen.errors import DrumgenError, Fault

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from drumgen.binding.jobs import Job

CONNECT_S = 10


class Done(NamedTuple):
    """A job, and what became of it."""

    job: Job
    outcome: Outcome


def work_through(jobs: Sequence[Job], *, workshop: Path, workers: int = -1, on: str | None = None) -> Iterator[Done]:
    """Jobs with their outcomes, whichever is ready first.

    ``workers`` is how many processes make them (-1: one a core; with one, this process). ``on`` is the address of a
    Dask scheduler, whose workers make them instead: then contents come back, else they lie in the workshop. Raises
    DrumgenError where there is no such scheduler, no package for it, or a worker was ended from outside.
    """
    from joblib import Parallel, delayed

    place, parent = ("", 0) if on is not None else (str(workshop.absolute()), os.getpid())
    tasks = (delayed(make_under)(parent, job, place, number) for number, job in enumerate(jobs))
    with _cluster(on) if on is not None else _processes():
        wanted = -1 if on is not None else workers if len(jobs) > 1 else 1
        for number, outcome in Parallel(n_jobs=wanted, return_as="generator_unordered")(tasks):
            yield Done(jobs[number], outcome)


def make_under(parent: int, job: Job, workshop: str, number: int) -> tuple[int, Outcome]:
    """Make one file in a process that ends with its parent, however that ends; 0 is no parent to look after.

    The outcome comes with the job's number.
    """
    if parent not in (0, os.getpid()):
        _mind(parent)
    return number, make_output(job, workshop, f"{number}.part")


@cache
def _mind(parent: int) -> None:
    """End this process when its parent has ended, a second later at most; on Windows, when it has long been idle."""

    def watch() -> None:
        while os.getppid() == parent:
            sleep(1)
        os._exit(1)

    Thread(target=watch, daemon=True).start()


@contextmanager
def _processes() -> Iterator[None]:
    from joblib.externals.loky.process_executor import BrokenProcessPool

    try:
        yield
    except (BrokenProcessPool, BrokenPipeError):  # the pipe to one that keeps account of the others, too
        rule = "a process at work was ended from outside, often for want of memory; run it again with fewer --jobs"
        raise DrumgenError(Fault(rule)) from None


@contextmanager
def _cluster(address: str) -> Iterator[None]:
    try:
        import distributed
    except ImportError:
        rule = "--on needs the package distributed: pip install 'drumgen[cluster]'"
        raise DrumgenError(Fault(rule)) from None
    from joblib import parallel_config

    connect: Any = distributed.Client
    try:
        _knock(address)
        client = connect(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, ValueError):
        rule = "the address of a Dask scheduler that answers, such as tcp://192.168.1.5:8786"
        raise DrumgenError(Fault(rule, got=f'"{address}"', path=("--on",))) from None
    with client, parallel_config(backend="dask", client=client, wait_for_workers_timeout=CONNECT_S):
        try:
            yield
        except TimeoutError:
            rule = "a Dask scheduler with workers"
            raise DrumgenError(Fault(rule, got=f'none within {CONNECT_S} s at "{address}"', path=("--on",))) from None
        except ModuleNotFoundError as error:
            rule = f"workers with drumgen {__version__} and what it needs"
            raise DrumgenError(Fault(rule, got=f"none of {error.name}", path=("--on",))) from None


def _knock(address: str) -> None:
    """Raises OSError or ValueError where nobody answers: quickly, which the client of a scheduler is not."""
    from distributed.comm.addressing import get_address_host_port

    with create_connection(get_address_host_port(address), timeout=CONNECT_S):
        return
