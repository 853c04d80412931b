"""When things are ready: printing in working hours, drying before the next face, the pile and the sleeve.

Touch-dry after 5 to 30 minutes, 24 to 48 hours before sleeving (docs/sources.md, S58).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil

from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.run.money.costing import BatchSheets
from tackside.run.plan.batches import Batch
from tackside.run.plan.run_file import Day, Labour, WorkingHours

_DAYS: tuple[Day, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_LAST_YEAR = 2999
_PRINTING = "run.step-print"
_PRINTING_FACES = ("run.step-print-first-face", "run.step-print-second-face")


@dataclass(frozen=True)
class CalendarStep:
    """Something that is done or waited for; local time, no zone. ``batch`` is None for what concerns all."""

    what: Message
    batch: int | None
    start: datetime
    end: datetime


@dataclass(frozen=True)
class Timetable:
    """All steps in order, when the whole run is done, and how many sheets lie drying at once at most."""

    steps: tuple[CalendarStep, ...]
    done: datetime
    drying_places: int


def timetable(
    batches: Sequence[Batch], sheets: Sequence[BatchSheets], hours: WorkingHours, labour: Labour | None
) -> Timetable:
    """One person, one printer at a time: batches one after another, finishing when the last sheet may be sleeved.

    Sheets dry side by side until they are touch-dry, then they may lie in a pile; where there are fewer places
    than that takes, printing waits for places. A second face is printed once the first is touch-dry.
    Raises BadRequest where the run would last beyond the year 2999.
    """
    labour = labour or Labour(rate=0)
    clock = _Clock(hours)
    steps: list[CalendarStep] = []
    touch_dry = timedelta(minutes=hours.touch_dry_minutes)
    needed = max(1, ceil(hours.touch_dry_minutes / hours.print_minutes))
    pace = hours.print_minutes
    if hours.drying_places is not None and hours.drying_places < needed:
        pace = hours.touch_dry_minutes / hours.drying_places
    for batch, count in zip(batches, sheets, strict=True):
        steps.append(clock.work(Message("run.step-set-up"), batch.number, labour.setup_minutes))
        for face in range(batch.faces):
            code = _PRINTING if batch.faces == 1 else _PRINTING_FACES[face]
            done = clock.work(
                Message(code), batch.number, ceil(count.total * batch.share_with_face(face)) * pace
            )
            steps.append(done)
            piled = done.end + touch_dry
            dry = CalendarStep(Message("run.step-dry-before-piling"), batch.number, done.end, piled)
            steps.append(dry)
            if face + 1 < batch.faces:
                clock.wait_until(dry.end)
        sleeve = CalendarStep(
            Message("run.step-dry-before-sleeving"),
            batch.number,
            done.end,
            done.end + timedelta(hours=hours.sleeve_after_hours),
        )
        steps.append(sleeve)
    clock.wait_until(max((step.end for step in steps), default=clock.now))
    cards = sum(batch.cards for batch in batches)
    steps.append(clock.work(Message("run.step-finish"), None, cards * labour.minutes_per_card))
    steps.sort(key=lambda step: (step.start, step.end))
    busiest = max((count.total for count in sheets), default=0)
    return Timetable(tuple(steps), steps[-1].end, min(busiest, hours.drying_places or needed, needed))


class _Clock:
    """Walks through the working hours; work that does not fit a day goes on the next."""

    def __init__(self, hours: WorkingHours) -> None:
        self._hours = hours
        self.now = datetime.combine(hours.start, hours.from_time)

    def wait_until(self, moment: datetime) -> None:
        self.now = max(self.now, moment)

    def work(self, what: Message, batch: int | None, minutes: float) -> CalendarStep:
        left = timedelta(minutes=minutes)
        self._to_working_time()
        start = self.now
        left = self._skip_whole_weeks(left)
        while left > timedelta(0):
            self._to_working_time()
            closes = datetime.combine(self.now.date(), self._hours.to_time)
            taken = min(left, closes - self.now)
            self.now += taken
            left -= taken
        return CalendarStep(what, batch, start, self.now)

    def _skip_whole_weeks(self, left: timedelta) -> timedelta:
        """Weeks that are worked through from end to end need no walking."""
        day = datetime.combine(date(2000, 1, 1), self._hours.to_time) - datetime.combine(
            date(2000, 1, 1), self._hours.from_time
        )
        week = day * len(set(self._hours.days))
        whole = max(0, left // week - 1)
        self._refuse_far_future(whole)
        self.now += timedelta(weeks=whole)
        return left - whole * week

    def _refuse_far_future(self, weeks: int) -> None:
        if self.now.year + weeks // 52 > _LAST_YEAR:
            raise BadRequest("run.calendar-without-end", place=Place("run", ("calendar", "print_minutes")))

    def _to_working_time(self) -> None:
        opens = datetime.combine(self.now.date(), self._hours.from_time)
        closes = datetime.combine(self.now.date(), self._hours.to_time)
        works = _DAYS[self.now.weekday()] in self._hours.days
        if works and self.now < closes:
            self.now = max(self.now, opens)
            return
        day = self.now.date() + timedelta(days=1)
        while _DAYS[day.weekday()] not in self._hours.days:
            day += timedelta(days=1)
        self.now = datetime.combine(day, self._hours.from_time)
