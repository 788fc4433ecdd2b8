"""Where plans are judged: in this process, in several processes, or on a Dask cluster. Every job comes back once."""

from __future__ import annotations

import json
import multiprocessing
import os
import signal
import threading
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice
from typing import TYPE_CHECKING, Any

from washlore.cli.classroom.judging import Job, begin, blob_key, house, judge_jobs, packed
from washlore.cli.common import Trouble, need, one_paragraph

if TYPE_CHECKING:
    from washlore.rules.judge import Considered

Results = Iterator[list[tuple[str, str]]]
BATCH = 8
# Batches on their way for each worker: enough to keep it busy, few enough to hold no class in memory.
AHEAD = 3
ENDED = "the process that judged it ended each time it was tried; it may need more memory or time than there is"
CONNECT_SECONDS = 20


def judge_all(
    jobs: Iterable[Job], considered: Mapping[str, Considered], workers: int = 1, cluster: str | None = None
) -> Results:
    """Yield (digest, record as JSON) of all jobs, in batches as they get done."""
    blob = packed(considered)
    batches = _batches(jobs)
    if cluster:
        return _on_cluster(cluster, blob, batches)
    if workers > 1:
        return _in_processes(workers, blob, batches)
    return _here(blob, batches)


def _batches(jobs: Iterable[Job]) -> Iterator[list[Job]]:
    rest = iter(jobs)
    while batch := list(islice(rest, BATCH)):
        yield batch


def _here(blob: bytes, batches: Iterator[list[Job]]) -> Results:
    begin(blob)
    key = blob_key(blob)
    for batch in batches:
        yield judge_jobs(key, batch)


# Processes of this machine ------------------------------------------------------------------------------------------


def _start(blob: bytes) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the parent, which then ends its workers.
    threading.Thread(target=_end_with_parent, daemon=True).start()
    begin(blob)


def _end_with_parent() -> None:
    """End when the parent was killed: nobody would take what is made here."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _pool(workers: int, blob: bytes) -> Any:
    from concurrent.futures import ProcessPoolExecutor

    return ProcessPoolExecutor(
        workers, mp_context=multiprocessing.get_context("spawn"), initializer=_start, initargs=(blob,)
    )


def _in_processes(workers: int, blob: bytes, batches: Iterator[list[Job]]) -> Results:
    from concurrent.futures import FIRST_COMPLETED, wait
    from concurrent.futures.process import BrokenProcessPool

    key = blob_key(blob)
    more = True
    while more:
        pool = _pool(workers, blob)
        running: dict[Any, list[Job]] = {}
        lost: list[list[Job]] = []
        try:
            while True:
                while not lost and len(running) < AHEAD * workers and (batch := next(batches, None)) is not None:
                    try:
                        running[pool.submit(judge_jobs, key, batch)] = batch
                    except BrokenProcessPool:
                        lost.append(batch)
                if not running:
                    break
                done, _ = wait(running, return_when=FIRST_COMPLETED)
                for future in sorted(done, key=lambda f: running[f][0].digest):
                    batch = running.pop(future)
                    try:
                        made = future.result()
                    except BrokenProcessPool:
                        lost.append(batch)
                        continue
                    yield made
        finally:
            pool.shutdown(wait=False, cancel_futures=True)
        more = bool(lost)
        yield from _one_by_one([job for batch in lost for job in batch], key, blob)


def _one_by_one(jobs: Sequence[Job], key: str, blob: bytes, tries: int = 2) -> Results:
    """Judge what was on its way when a worker was killed and its pool with it, so that a culprit is known when it ends."""
    from concurrent.futures.process import BrokenProcessPool

    rest = [(job, 1) for job in jobs]
    while rest:
        with _pool(1, blob) as pool:
            while rest:
                job, count = rest.pop(0)
                try:
                    yield pool.submit(judge_jobs, key, [job]).result()
                except BrokenProcessPool:
                    if count < tries:
                        rest.insert(0, (job, count + 1))
                    else:
                        yield [(job.digest, lost_record())]
                    break


def lost_record() -> str:
    """Return the record of a plan whose process ended each time; a later run tries it again."""
    return json.dumps({"problem": ENDED, "again": True})


# A Dask cluster -----------------------------------------------------------------------------------------------------


def _on_cluster(address: str, blob: bytes, batches: Iterator[list[Job]]) -> Results:
    need("distributed", "cluster", "for --cluster")
    from distributed import Client

    try:
        client = Client(address, timeout=CONNECT_SECONDS, set_as_default=False)
    except (OSError, ValueError, ImportError) as error:
        raise Trouble(
            f"--cluster {address}: no Dask scheduler answers there ({one_paragraph(str(error))[:120] or type(error).__name__}); "
            "give its address, such as tcp://10.0.0.5:8786."
        ) from None
    with client:
        try:
            yield from _spread(client, address, blob, batches)
        except (OSError, TimeoutError) as error:
            raise Trouble(
                f"--cluster {address}: the cluster went away ({type(error).__name__}). What was judged is kept; the same "
                "command goes on from there."
            ) from None


def _spread(client: Any, address: str, blob: bytes, batches: Iterator[list[Job]]) -> Results:
    from distributed import WorkerPlugin, as_completed
    from distributed.scheduler import KilledWorker

    key = blob_key(blob)
    _same_house(client, address)

    class Start(WorkerPlugin):
        """Hands the mixtures to each worker, also to one that comes later or comes back."""

        name = f"washlore-{key}"

        def setup(self, worker: Any) -> None:
            begin(blob)

    client.register_plugin(Start())
    running: dict[str, Sequence[Job]] = {}
    done = as_completed(loop=client.loop)

    def send(batch: Sequence[Job]) -> None:
        future = client.submit(judge_jobs, key, list(batch), pure=False)
        running[future.key] = batch
        done.add(future)

    def fill() -> None:
        ahead = AHEAD * max(1, sum(client.nthreads().values()))
        while len(running) < ahead and (batch := next(batches, None)) is not None:
            send(batch)

    fill()
    for future in done:
        batch = running.pop(future.key)
        if future.status == "finished":
            yield future.result()
        elif isinstance(future.exception(), KilledWorker):
            if len(batch) == 1:
                yield [(batch[0].digest, lost_record())]
            else:
                for job in batch:
                    send([job])
        elif future.cancelled():
            raise OSError("cancelled")
        else:
            raise Trouble(f"--cluster {address}: a worker failed: {one_paragraph(str(future.exception()))[:200]}.")
        future.release()
        fill()


def _same_house(client: Any, address: str) -> None:
    """See to it that the workers have this very washlore: another version would judge otherwise."""
    try:
        found = client.run(house)
    except Exception as error:  # Whatever a worker raises when it has no washlore.
        raise Trouble(
            f"--cluster {address}: its workers cannot load washlore ({one_paragraph(str(error))[:120]}); install it there."
        ) from None
    if not found:
        raise Trouble(f"--cluster {address}: has no workers; start some with: dask worker {address}.")
    if set(found.values()) != {house()}:
        raise Trouble(f"--cluster {address}: its workers have another version of washlore; install this one there.")
