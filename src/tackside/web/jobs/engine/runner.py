"""The keeper of jobs: takes them from the bench one after the other, hands each to a worker, sees it through."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import secrets
import shutil
import threading
import time
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

from tackside.bench.repositories.jobs import Job
from tackside.bench.store import Bench
from tackside.errors import TacksideError
from tackside.messages.message import Message
from tackside.tasks.cache import FOLDER, prune_now_and_then
from tackside.tasks.work_folder import clear_left, work_folder
from tackside.web.jobs.engine.kinds import KINDS, Lane
from tackside.web.jobs.engine.worker import wait_for_job

IDLE_SECONDS = 2.0
BEAT_SECONDS = 5.0
LOOK_SECONDS = 0.25
# A printer may take its time to come to a place where it can stop.
STOP_SECONDS = 120.0
SWEEP_AFTER_SECONDS = 24 * 3600.0


@dataclass
class Worker:
    process: BaseProcess
    line: Connection


class Runner:
    """One thread that keeps the jobs of one bench and one ``lane`` going. Begin with ``start``, end with ``stop``.

    ``warm``: a worker is always ready, so that a job begins at once; it costs the memory of an idle process.
    """

    def __init__(self, bench: Bench, *, warm: bool = False, lane: Lane = "work") -> None:
        self._bench = bench
        self._kinds = tuple(name for name, kind in KINDS.items() if kind.lane == lane)
        self._others = tuple(name for name, kind in KINDS.items() if kind.lane != lane)
        self._leads = lane == "work"  # who sweeps, and ends what no kind knows
        self._warm = warm
        self._keeper = f"{os.getpid()}-{secrets.token_hex(4)}"
        self._context = multiprocessing.get_context(
            "spawn"
        )  # nothing of the server's threads or locks comes along
        self._spare: Worker | None = None
        self._wake = threading.Event()
        self._stopping = threading.Event()
        self._thread: threading.Thread | None = None
        self._beaten = 0.0

    def start(self) -> None:
        if self._warm:
            self._spare = self._new_worker()
        self._thread = threading.Thread(target=self._keep, name="jobs", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """End at once: what is at work goes back to the queue and is begun again next time."""
        self._stopping.set()
        self._wake.set()
        if self._thread is not None:
            self._thread.join(timeout=10.0)
        if self._spare is not None:
            _end(self._spare)

    def wake(self) -> None:
        """There is something new: a job, or one to be stopped."""
        self._wake.set()

    def _keep(self) -> None:
        if self._leads:
            self._sweep()
        prune_now_and_then(self._bench.folder / FOLDER)
        while not self._stopping.is_set():
            job = None
            try:
                self._bench.jobs.take_over(self._keeper)
                job = self._bench.jobs.claim(
                    self._keeper, None if self._leads else self._kinds, but=self._others
                )
            except TacksideError:  # a bench that refuses now may not refuse later; pages say what is wrong
                self._wake.wait(IDLE_SECONDS)
            if job is not None:
                self._see_through(job)
                prune_now_and_then(self._bench.folder / FOLDER)
            else:
                self._wake.wait(IDLE_SECONDS)
                self._wake.clear()

    def _see_through(self, job: Job) -> None:
        with contextlib.suppress(TacksideError):
            if job.kind not in KINDS:
                self._bench.jobs.fail(job.id, Message("job.unknown-kind", kind=job.kind))
                return
        try:
            worker = self._spare or self._new_worker()
        except (OSError, RuntimeError):  # no process to be had: the job ends, the keeper goes on
            self._record(job, ("failed", Message("job.worker-out-of-reach"), None))
            return
        self._spare = None
        kind = KINDS[job.kind]
        end: tuple[Any, ...] | None = None
        try:
            with work_folder(self._bench.folder / FOLDER) as work:
                worker.line.send(
                    {
                        "bench": str(self._bench.folder),
                        "job": job.id,
                        "kind": job.kind,
                        "asked": job.asked,
                        "work": str(work),
                    }
                )
                end = self._follow(job, worker, time.monotonic() + kind.seconds, asks=kind.lane != "work")
        except (OSError, EOFError):
            end = ("failed", Message("job.worker-out-of-reach"), None)
        finally:
            _end(worker)
        if end is not None:
            self._record(job, end)
        if self._warm and not self._stopping.is_set():
            with contextlib.suppress(OSError, RuntimeError):  # then the next job begins a worker of its own
                self._spare = self._new_worker()

    def _follow(self, job: Job, worker: Worker, deadline: float, *, asks: bool) -> tuple[Any, ...] | None:
        """What came of it; None where the program itself is being stopped. ``asks``: the worker is asked to stop."""
        patience: float | None = None
        told: tuple[float, Message] | None = None
        while True:
            if self._stopping.is_set():
                return ("again",)
            try:
                while worker.line.poll(0 if told else LOOK_SECONDS):
                    answer = worker.line.recv()
                    if answer[0] != "tell":
                        return tuple(answer)
                    told = (answer[1], answer[2])
            except (EOFError, OSError):
                return _died(worker)
            with contextlib.suppress(TacksideError):
                if told is not None:
                    self._bench.jobs.tell(job.id, *told)
                    told = None
                if time.monotonic() - self._beaten > BEAT_SECONDS:
                    self._bench.jobs.beat(self._keeper)
                    self._beaten = time.monotonic()
                if self._bench.jobs.get(job.id).state == "stopping":
                    patience = patience or time.monotonic() + (STOP_SECONDS if asks else 0.0)
                    if time.monotonic() >= patience:
                        return ("cancelled",)
            if time.monotonic() > deadline:
                return ("failed", Message("job.too-long"), None)

    def _record(self, job: Job, end: tuple[Any, ...]) -> None:
        with contextlib.suppress(TacksideError):  # then the silence of this keeper ends it
            if end[0] == "done":
                self._bench.jobs.finish(job.id, end[1])
            elif end[0] == "failed":
                self._bench.jobs.fail(job.id, end[1], end[2])
            elif end[0] == "cancelled":
                self._bench.jobs.stopped(job.id)
            else:
                self._bench.jobs.give_back(job.id)

    def _new_worker(self) -> Worker:
        ours, theirs = self._context.Pipe()
        process = self._context.Process(
            target=wait_for_job, args=(theirs,), kwargs={"warm": self._warm}, name="tackside-job", daemon=True
        )
        process.start()
        theirs.close()
        return Worker(process, ours)

    def _sweep(self) -> None:
        """Remove what a killed program left behind."""
        clear_left(self._bench.folder / FOLDER)
        for left in self._bench.folder.glob("incoming/*"):
            with contextlib.suppress(OSError):
                if time.time() - left.stat().st_mtime > SWEEP_AFTER_SECONDS:
                    shutil.rmtree(left) if left.is_dir() else left.unlink()


def _end(worker: Worker) -> None:
    worker.line.close()
    worker.process.terminate()
    worker.process.join(timeout=3.0)
    if worker.process.is_alive():
        worker.process.kill()
        worker.process.join()
    worker.process.close()


def _died(worker: Worker) -> tuple[Any, ...]:
    worker.process.join(timeout=2.0)
    return ("failed", Message("job.worker-died"), None)
