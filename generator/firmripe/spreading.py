"""The same work done for many things: on this machine's cores, or on a cluster that is there."""

from __future__ import annotations

import atexit
import gc
import os
from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

_THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
"""How many threads the libraries of linear algebra take; they look when they are loaded, after this."""
_YOUNG = 2_000_000
"""New objects after which those are looked for that nobody needs: nearly all of a plan are needed to its end, and
looking at every 700 takes a twentieth of a build."""
_PATIENCE_S = 20
"""So long a cluster may take to answer."""

_Unit = TypeVar("_Unit")
_Done = TypeVar("_Done")


class NoCluster(Exception):  # noqa: N818 - it says what is missing
    """A cluster can't be used; the text says why."""


def settle_in() -> None:
    """Make a process ready for work: one thread for linear algebra, and seldom a look for what nobody needs.

    At its end there is none at all: the system takes everything back at once, and to look through a whole plan before
    takes as long as to write its site.
    """
    for name in _THREADS:  # matrices of a household are small, and threads that wait for one another take a third more
        os.environ.setdefault(name, "1")
    gc.set_threshold(_YOUNG, 20, 50)
    atexit.unregister(gc.freeze)
    atexit.register(gc.freeze)


def cores_here() -> int:
    """Return how many cores this process may use."""
    told = getattr(os, "sched_getaffinity", None)
    return len(told(0)) if told else os.cpu_count() or 1


def on_cores(
    work: Callable[[_Unit], _Done], units: Sequence[_Unit], cores: int
) -> Iterator[tuple[_Unit, _Done | None]]:
    """Do the work for each unit, in a process for each core, and give each with what came of it, as it is done.

    None stands for what the system ended before it was done.
    """
    if min(cores, len(units)) <= 1:
        yield from ((unit, work(unit)) for unit in units)
        return
    from concurrent.futures import ProcessPoolExecutor, as_completed  # noqa: PLC0415 - only where there is more than one
    from concurrent.futures.process import BrokenProcessPool  # noqa: PLC0415
    from multiprocessing import get_context  # noqa: PLC0415

    pool = ProcessPoolExecutor(min(cores, len(units)), get_context("spawn"), settle_in)
    try:
        waiting = {pool.submit(work, unit): unit for unit in units}
        for future in as_completed(waiting):
            try:
                yield waiting[future], future.result()
            except BrokenProcessPool:
                yield waiting[future], None
    finally:
        pool.shutdown(cancel_futures=True)


def on_cluster(
    work: Callable[[_Unit], _Done], units: Sequence[_Unit], address: str
) -> Iterator[tuple[_Unit, _Done | None]]:
    """Do the same on a dask cluster, whose machines see the same folders under the same names. Raises NoCluster."""
    try:
        from distributed import Client, as_completed  # noqa: PLC0415 - an extra
    except ImportError as error:
        raise NoCluster('a cluster needs the extra: pip install "firmripe[dask]"') from error
    try:
        client = Client(address, timeout=_PATIENCE_S, set_as_default=False)
    except (OSError, ValueError) as error:
        raise NoCluster(f"the cluster at {address} can't be reached: {error}") from error
    with client:
        client.run(settle_in)
        waiting = {client.submit(work, unit, pure=False): unit for unit in units}
        for future in as_completed(waiting, loop=client.loop):
            yield waiting[future], future.result() if future.status == "finished" else None
