"""All jobs on the bench: opened, found by their keys, and put away when nobody looks at them any more."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from time import monotonic

from moldvol.page.hand import Hand, ProcessHand
from moldvol.page.job import Job
from moldvol.page.session import Session

IDLE_S = 1800.0  # a phone asleep through a pot life must find its job again
MOST_JOBS = 12  # each holds a part in memory
MOST_EMPTY_JOBS = 100
SWEEP_S = 30.0


@dataclass(slots=True)
class Jobs:
    """All jobs on the bench by key; those that nobody has looked at for half an hour are put away."""

    new_hand: Callable[[], Hand] = ProcessHand
    clock: Callable[[], float] = monotonic
    by_key: dict[str, Job] = field(default_factory=dict)

    def open(self) -> Job:
        """A new job, empty. Of too many empty ones the oldest is forgotten."""
        self.sweep()
        empty = [job for job in self.by_key.values() if not job.is_used]
        if len(empty) >= MOST_EMPTY_JOBS:
            self._end(min(empty, key=lambda job: job.seen_at))
        job = Job(Session(secrets.token_urlsafe(16)), self.new_hand())
        self.by_key[job.session.key] = job
        return job

    def make_room(self, job: Job) -> bool:
        """Whether *job* may take in a file; one that nobody looks at gives way to it."""
        used = [other for other in self.by_key.values() if other.is_used and other is not job]
        if len(used) < MOST_JOBS:
            return True
        alone = [other for other in used if not other.watched]
        if alone:
            self._end(min(alone, key=lambda other: other.seen_at))
        return bool(alone)

    def get(self, key: str) -> Job | None:
        """The job of that key."""
        return self.by_key.get(key)

    def sweep(self) -> None:
        """Put away what nobody has looked at for long."""
        for job in tuple(self.by_key.values()):
            if not job.watched and self.clock() - job.seen_at > IDLE_S:
                self._end(job)

    def close(self) -> None:
        """End all jobs."""
        for job in tuple(self.by_key.values()):
            self._end(job)

    def _end(self, job: Job) -> None:
        del self.by_key[job.session.key]
        job.close()
