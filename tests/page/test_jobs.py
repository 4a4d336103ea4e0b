from moldvol.page.job import Job
from moldvol.page.jobs import IDLE_S, MOST_EMPTY_JOBS, MOST_JOBS, Jobs
from tests.page.hands import OwnHand


class Clock:
    now = 0.0

    def __call__(self) -> float:
        return self.now


def test_a_job_nobody_looks_at_is_put_away_after_half_an_hour() -> None:
    clock = Clock()
    jobs = Jobs(new_hand=OwnHand, clock=clock)
    job, looked_at = jobs.open(), jobs.open()
    for one in (job, looked_at):
        one.seen_at = 0.0
    looked_at.watched["screen"] = "part"
    clock.now = IDLE_S + 1
    jobs.sweep()
    assert jobs.get(job.session.key) is None
    assert jobs.get(looked_at.session.key) is looked_at
    assert not job.folder.exists()
    jobs.close()
    assert not looked_at.folder.exists()


def used_jobs(jobs: Jobs) -> list[Job]:
    opened = [jobs.open() for _ in range(MOST_JOBS)]
    for number, job in enumerate(opened):
        job.session.working("Reading", 0.0)
        job.seen_at = float(number)
    return opened


def test_on_a_full_bench_the_oldest_that_nobody_looks_at_gives_way() -> None:
    jobs = Jobs(new_hand=OwnHand, clock=Clock())
    oldest, second, *_ = used_jobs(jobs)
    oldest.watched["screen"] = "part"
    assert jobs.make_room(jobs.open())
    assert jobs.get(oldest.session.key) is oldest
    assert jobs.get(second.session.key) is None
    jobs.close()


def test_a_bench_full_of_people_takes_no_more_files() -> None:
    jobs = Jobs(new_hand=OwnHand, clock=Clock())
    opened = used_jobs(jobs)
    for job in opened:
        job.watched["screen"] = "part"
    assert not jobs.make_room(jobs.open())
    assert jobs.make_room(opened[0])  # who has a place may put another part on it
    jobs.close()


def test_empty_jobs_do_not_pile_up() -> None:
    jobs = Jobs(new_hand=OwnHand, clock=Clock())
    first = jobs.open()
    first.seen_at = -1.0
    for _ in range(MOST_EMPTY_JOBS):
        jobs.open()
    assert len(jobs.by_key) == MOST_EMPTY_JOBS
    assert jobs.get(first.session.key) is None
    jobs.close()


def test_keys_cannot_be_guessed() -> None:
    jobs = Jobs(new_hand=OwnHand)
    keys = {jobs.open().session.key, jobs.open().session.key}
    jobs.close()
    assert len(keys) == 2
    assert min(map(len, keys)) >= 22
