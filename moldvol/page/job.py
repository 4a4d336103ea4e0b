"""A session with its hand: uploads go in, sheets come out, nothing heavy in the event loop.

Turning a knob asks only for the sheets that somebody looks at. While one is being worked out further turns wait and
become one: the last setting wins. What takes long is called off as soon as the knobs ask for something else.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from contextlib import suppress
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from time import monotonic
from typing import TYPE_CHECKING, Any

from moldvol.errors import MoldvolError
from moldvol.page.hand import Hand, HandGone
from moldvol.page.knobs import Asked
from moldvol.page.session import Refused, Session, settings_of
from moldvol.page.tabs import BY_KEY
from moldvol.page.wording import refusal

if TYPE_CHECKING:
    from moldvol.page.told import Told

STOPPED = "Stopped. Turn a knob to have it worked out again."
REST_S = 0.4  # a knob that has not moved for so long has come to rest


class Job:
    """One job: its session, the hand that works for it, and a folder that is gone when it ends."""

    def __init__(self, session: Session, hand: Hand) -> None:
        self.session, self.hand = session, hand
        self.watched: dict[object, str] = {}
        self.seen_at = monotonic()
        self._folder = TemporaryDirectory(prefix="moldvol-", ignore_cleanup_errors=True)
        self._told_now: set[str] = set()
        self._completed_now: dict[tuple[str, tuple[object, ...]], asyncio.Task[None]] = {}
        self._one_slow = asyncio.Lock()
        self._becoming = False
        self._made_by: asyncio.Task[None] | None = None
        self._upload: tuple[Path, str] | None = None  # until it is read
        self._tasks: set[asyncio.Task[None]] = set()
        self._loading = 0
        self._slow: asyncio.Task[Told | str] | None = None
        self._slow_for: tuple[str, tuple[object, ...]] | None = None

    @property
    def is_used(self) -> bool:
        """Whether there is anything on this bench."""
        session = self.session
        return session.part is not None or session.pour is not None or session.work is not None

    @property
    def folder(self) -> Path:
        """Where uploads of this job land."""
        return Path(self._folder.name)

    # ---- the part

    async def load(self, path: Path, name: str) -> None:
        """Read the file at *path*, called *name* by its owner, and remove it; then measure, show and tell.

        Returns when that is done, or something else has been asked for.
        """
        self.session.begin_file(name)
        self._drop_upload()
        self._upload = (path, name)
        making = self._make(name)
        await asyncio.wait([making])
        if not making.cancelled():
            making.result()

    def _make(self, name: str) -> asyncio.Task[None]:
        """Have the part made as the knobs ask now, and leave off all that is still at work on the one before."""
        self._loading += 1
        self._becoming = True
        for task in (self._made_by, self._slow, *self._completed_now.values()):
            if task is not None:
                task.cancel()
        self._made_by = self._spawn(self._become(name))
        return self._made_by

    async def _made_as_asked(self) -> Any:
        """The file as the knobs ask for it: read, if that was not done to its end yet, or else made anew."""
        order, asked = self._loading, self.session.asked
        if self._upload is None:
            return await self._ask("remake", order, asked)
        path, name = self._upload
        try:
            summary = await self._ask("read", order, str(path), name, asked)
        except MoldvolError:  # but not where it was called off: what is asked next reads it again
            self._drop_upload()
            raise
        self._drop_upload()
        return summary

    def _drop_upload(self) -> None:
        if self._upload is not None:
            self._upload[0].unlink(missing_ok=True)
            self._upload = None

    async def _become(self, name: str) -> None:
        """Take the part that is made as asked, then its pictures and its depth.

        Once another file, or the same in another size, has been asked for, no answer counts any more.
        """
        session, turn = self.session, self._loading
        in_turn: tuple[tuple[Callable[[], Coroutine[Any, Any, Any]], Callable[[Any], None]], ...] = (
            (self._made_as_asked, session.take_part),
            (partial(self._ask, "view"), session.take_view),
            (partial(self._ask, "measure_depth"), session.take_part_depth),
            (partial(self._ask, "view"), session.take_view),
        )
        session.working("Reading the file", 0.0)
        try:
            for question, take in in_turn:
                answer = await question()
                if turn != self._loading:
                    return
                self._becoming = False
                take(answer)
                self.refresh()
        except MoldvolError as error:
            if turn == self._loading:
                session.refuse(Refused(name, refusal(error.message), open_rims=error.kind == "open"))
        finally:
            if turn == self._loading:
                self._becoming = False
                session.idle()
                self.refresh()

    def stop(self) -> None:
        """Stop what takes long: a sheet alone, or else all work, which clears the bench."""
        if self._slow is not None:
            self._slow.cancel()
        else:
            self.cancel()

    def cancel(self) -> None:
        """Stop all work and clear the bench."""
        self._loading += 1
        self._becoming = False
        if self._made_by is not None:
            self._made_by.cancel()
        self._drop_upload()
        self.hand.stop()
        self.session.put_away()

    # ---- the knobs

    def turn(self, name: str, text: str) -> None:
        """Turn a knob, and tell anew what is looked at."""
        session, before = self.session, self.session.asked
        session.turn(name, text)
        after = session.asked
        if after != before:
            self._call_off_outdated()
        there = self._becoming or session.part is not None or session.refused is not None
        if after.reading != before.reading and there:
            self._make(session.file_name or "the part")
        elif after != before:
            self.refresh()

    def _call_off_outdated(self) -> None:
        """Leave off what nobody wants any more, so that it does not hold up what is wanted now."""
        for what, task in tuple(self._completed_now.items()):
            if not self._is_asked(what):
                task.cancel()
        if self._slow is not None and self._slow_for is not None and not self._is_asked(self._slow_for):
            self._slow.cancel()

    def _is_asked(self, what: tuple[str, tuple[object, ...]]) -> bool:
        tab, matter = what
        return BY_KEY[tab].matter(self.session.asked) == matter

    def watch(self, screen: object, tab: str) -> None:
        """*screen* looks at *tab* now."""
        self.watched[screen] = tab
        self.seen_at = monotonic()
        self.refresh()

    def unwatch(self, screen: object) -> None:
        """*screen* looks no more."""
        self.watched.pop(screen, None)
        self.seen_at = monotonic()

    # ---- the sheets

    def refresh(self) -> None:
        """Work out the sheets of all tabs looked at that are not up to date."""
        for tab in set(self.watched.values()):
            if tab in BY_KEY and tab not in self._told_now and self._is_due(tab):
                self._told_now.add(tab)
                self._spawn(self._tell(tab))
            elif tab in BY_KEY and tab not in self._told_now and self.session.lacks_plots(tab):
                self._complete_later(tab, self.session.asked, 0.0)  # it was left before they were drawn

    def _is_due(self, tab: str) -> bool:
        if self._becoming:  # what is told of a part that goes is told in vain
            return False
        return BY_KEY[tab].of_part and self.session.is_ready(BY_KEY[tab]) and self.session.is_stale(tab)

    async def _tell(self, tab: str) -> None:
        """Tell *tab* until it is up to date; what only fits a knob at rest is left to `_complete`."""
        try:
            while tab in self.watched.values() and self._is_due(tab):
                await self._tell_once(tab, self.session.asked)
        except HandGone:
            pass  # the part is off the bench, and its sheet with it
        finally:
            self._told_now.discard(tab)

    async def _tell_once(self, tab: str, asked: Asked) -> None:
        session, part = self.session, self.session.part
        draft = BY_KEY[tab].drafts and tab in session.told_for  # the first figures are exact ones
        if BY_KEY[tab].slow:
            await asyncio.sleep(REST_S)
            if session.asked != asked:
                return
            told = await self._slow_sheet_of(tab, asked)
            if told == STOPPED and not self._is_asked((tab, BY_KEY[tab].matter(asked))):
                return  # not by hand, but for what is asked now
        else:
            told = await self._sheet_of(tab, asked, exactly=not draft)
        if session.part is part and not self._becoming:
            session.take_sheet(tab, asked, told)
            self._complete_later(tab, asked, REST_S if draft else 0.0)

    def _complete_later(self, tab: str, asked: Asked, rest_s: float) -> None:
        what = (tab, BY_KEY[tab].matter(asked))
        if what not in self._completed_now:
            task = self._completed_now[what] = self._spawn(self._complete(tab, asked, rest_s))
            task.add_done_callback(lambda _: self._completed_now.pop(what, None))

    async def _complete(self, tab: str, asked: Asked, rest_s: float) -> None:
        """When the knobs have rested: the exact sheet, then the pictures that go with it."""
        session, part = self.session, self.session.part

        def is_wanted() -> bool:
            same = self._is_asked((tab, BY_KEY[tab].matter(asked)))
            return same and session.part is part and tab in self.watched.values()

        await asyncio.sleep(rest_s)
        with suppress(MoldvolError):
            if rest_s and is_wanted():
                told = await self._sheet_of(tab, asked, exactly=True)
                if not is_wanted():
                    return
                session.take_sheet(tab, asked, told)
            if BY_KEY[tab].hollow and is_wanted():
                session.take_core(await self.hand.ask("core", asked))
            if BY_KEY[tab].drafts and is_wanted():
                await self._draw_at_once(tab, asked)
                await self.hand.ask("fill_curve", asked)
            if BY_KEY[tab].plots and is_wanted():
                session.take_plots(tab, asked, await self.hand.ask("plots", tab, asked))

    async def _draw_at_once(self, tab: str, asked: Asked) -> None:
        """What needs no curve is seen while the curve is worked out."""
        plots = await self.hand.ask("plots_at_once", tab, asked)
        if plots:
            self.session.take_plots(tab, asked, plots, whole=False)

    async def _slow_sheet_of(self, tab: str, asked: Asked) -> Told | str:
        """A sheet that takes seconds: one at a time, with a word of what is going on, and it may be stopped."""
        async with self._one_slow:
            self.session.working(f"Working out: {BY_KEY[tab].label.lower()}", 0.0)
            self._slow = asyncio.get_running_loop().create_task(self._sheet_of(tab, asked, exactly=True))
            self._slow_for = (tab, BY_KEY[tab].matter(asked))
            try:
                await asyncio.wait([self._slow])
                return STOPPED if self._slow.cancelled() else self._slow.result()
            finally:
                self._slow.cancel()
                self._slow = self._slow_for = None
                self.session.idle()

    async def _sheet_of(self, tab: str, asked: Asked, *, exactly: bool) -> Told | str:
        try:
            told: Told = await self._ask("tell", tab, asked, exactly)
        except HandGone:
            raise
        except MoldvolError as error:
            return refusal(error.message)
        return told

    async def sheet(self, tab: str) -> str:
        """The sheet of *tab* as a page for the printer."""
        settings = dict(settings_of(self.session.knobs, tab))
        return str(await self.hand.ask("sheet", tab, self.session.asked, settings))

    async def sides(self) -> bytes:
        """The part from three sides, for browsers without 3D."""
        return bytes(await self.hand.ask("sides"))

    async def _ask(self, what: str, *details: Any) -> Any:
        return await self.hand.ask(what, *details, progress=self.session.working)

    def _spawn(self, work: Coroutine[Any, Any, None]) -> asyncio.Task[None]:
        task = asyncio.get_running_loop().create_task(work)
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)
        return task

    def close(self) -> None:
        """End the job: no process, no file stays."""
        self._loading += 1
        self.hand.stop()
        for task in tuple(self._tasks):
            task.cancel()
        self._folder.cleanup()
