"""The shop floor of the demo: the hands take up what is released, and clock it."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from heapq import heappop, heappush
from itertools import count

from costing.management.demo.pace import Pace
from orders.models import Operation
from shop.core.calendar import Calendar
from shop.models import Booking, Clocking, Hand, Plan, Station, Workshop
from shop.services import clocking
from shop.services.weeks import Weeks

A_MINUTE = timedelta(minutes=1)
LOOK_AGAIN = 10 * A_MINUTE
AHEAD = timedelta(days=14)


@dataclass(slots=True, kw_only=True)
class Work:
    """An operation on the floor: what it waits for, and how far it is."""

    operation: Operation
    after: frozenset[int]
    order: int
    needs_min: float = 0.0
    worked_min: float = 0.0
    pieces_done: int = 0
    hand: int | None = None
    is_running: bool = False
    done_at: datetime | None = None

    @property
    def pieces_left(self) -> int:
        """Pieces still to do."""
        return self.operation.pieces - self.pieces_done

    def pieces_by(self, minutes: float) -> int:
        """Pieces finished in a stretch that does not finish the operation."""
        share = (self.worked_min + minutes) / self.needs_min
        done = int(share * self.operation.pieces) - self.pieces_done
        return max(0, min(done, self.pieces_left - 1))


@dataclass(slots=True, kw_only=True)
class Person:
    """A hand on the floor: what they can do, when they are there, and what they are at."""

    number: int
    hand: Hand
    skills: frozenset[str]
    calendar: Calendar
    work: Work | None = None
    station: Station | None = None
    since: datetime | None = None


@dataclass(slots=True)
class Floor:
    """Hands, stations and released work, moved on from event to event."""

    people: list[Person]
    stations: list[Station]
    pace: Pace
    begins: datetime
    works: dict[int, Work] = field(default_factory=dict)
    booked: Mapping[int, Booking] = field(default_factory=dict)
    events: list[tuple[datetime, int, int]] = field(default_factory=list)
    numbers: Iterator[int] = field(default_factory=count)
    ended: list[Clocking] = field(default_factory=list)

    def __post_init__(self) -> None:
        for person in self.people:
            self._expect(person, self.begins)

    @classmethod
    def of(cls, workshop: Workshop, begins: datetime, pace: Pace) -> "Floor":
        """The hands and stations of a workshop, with nothing released yet."""
        weeks = Weeks.of(workshop, begins)
        hands = Hand.objects.of(workshop).prefetch_related("skills").order_by("pk")
        return cls(
            [
                Person(
                    number=number,
                    hand=hand,
                    skills=frozenset(skill.skill for skill in hand.skills.all()),
                    calendar=weeks.calendar_of(hand),
                )
                for number, hand in enumerate(hands)
            ],
            list(Station.objects.of(workshop)),
            pace,
            begins,
        )

    def take_up(self, operations: Iterable[Operation]) -> None:
        """Lay released operations out for the hands, behind those that are there."""
        order = len(self.works)
        for operation in operations:
            after = frozenset(operation.after.values_list("pk", flat=True))
            self.works[operation.pk] = Work(operation=operation, after=after, order=order)

    def follow(self, plan: Plan) -> None:
        """Work to a plan from now on."""
        bookings = Booking.objects.filter(plan=plan).select_related("station")
        self.booked = {booking.operation_id: booking for booking in bookings}

    def run(self, until: datetime) -> None:
        """Let everything happen that happens before an instant."""
        while self.events and self.events[0][0] < until:
            at, _, number = heappop(self.events)
            person = self.people[number]
            if person.work is None:
                self._begin(person, at)
            else:
                self._end(person, at)

    def finished_at(self, commission: int) -> datetime | None:
        """When the last operation of a commission was done; None while one is open."""
        ends = [
            work.done_at
            for work in self.works.values()
            if work.operation.commission_id == commission
        ]
        known = [end for end in ends if end is not None]
        return max(known) if known and len(known) == len(ends) else None

    def _expect(self, person: Person, at: datetime) -> None:
        heappush(self.events, (at, next(self.numbers), person.number))

    def _begin(self, person: Person, at: datetime) -> None:
        """Start the next operation, or look again later."""
        opening = person.calendar.openings(at, at + AHEAD)[0]
        work, station = self._next(person, at)
        if opening.start > at:
            self._expect(person, opening.start + self.pace.a_while(0, 4) * A_MINUTE)
        elif work is None or station is None:
            self._expect(person, at + LOOK_AGAIN)
        else:
            self._start(person, work, station, at)
            self._expect(person, min(at + self._stretch(work) * A_MINUTE, opening.end))

    def _start(self, person: Person, work: Work, station: Station, at: datetime) -> None:
        """Clock on."""
        if not work.needs_min:
            work.needs_min = self.pace.minutes(work.operation, person.number)
        clocking.start(work.operation, person.hand, at=at, station=station)
        work.hand, work.is_running = person.number, True
        person.work, person.station, person.since = work, station, at

    def _stretch(self, work: Work) -> float:
        """Minutes until something happens: a mistake is seen, a call, or the end of the work."""
        left = max(1.0, work.needs_min - work.worked_min)
        if not work.worked_min and self.pace.is_mistaken():
            return 1.0
        return self.pace.interruption(left) or left

    def _end(self, person: Person, at: datetime) -> None:
        """Clock off, with as many pieces as are done."""
        work, since = person.work, person.since
        if work is None or since is None:
            raise LookupError("Nobody ends what was not begun.")
        minutes = (at - since) / A_MINUTE
        is_done = work.worked_min + minutes >= work.needs_min
        pieces = work.pieces_left if is_done else work.pieces_by(minutes)
        ended = clocking.finish(work.operation, person.hand, at=at, pieces=pieces)
        self.ended.append(ended)
        work.worked_min += minutes
        work.pieces_done += pieces
        work.is_running = False
        work.done_at = at if is_done else None
        person.work = person.station = person.since = None
        pause = self.pace.a_while(0, 3) if is_done else self.pace.a_while(5, 15)
        self._expect(person, at + pause * A_MINUTE)

    def _next(self, person: Person, at: datetime) -> tuple[Work | None, Station | None]:
        """The best operation that the person may begin, and where."""
        for work in sorted(self._open(person, at), key=lambda work: self._rank(work, person)):
            station = self._place(work)
            if station is not None:
                return work, station
        return None, None

    def _open(self, person: Person, at: datetime) -> Iterator[Work]:
        for work in self.works.values():
            mine = work.hand in (None, person.number)
            if work.done_at or work.is_running or not mine:
                continue
            if work.operation.skill in person.skills and self._may_begin(work, at):
                yield work

    def _may_begin(self, work: Work, at: datetime) -> bool:
        """Whether all that comes before is done, and its glue has cured."""
        for earlier in (self.works[pk] for pk in work.after):
            cure = earlier.operation.cure_min * A_MINUTE
            if earlier.done_at is None or (not work.pieces_done and earlier.done_at + cure > at):
                return False
        return True

    def _rank(self, work: Work, person: Person) -> tuple[bool, bool, datetime, int, int]:
        """What was begun comes first, then what the plan says, then what was released first."""
        booking = self.booked.get(work.operation.pk)
        return (
            work.hand is None,
            booking is None or booking.hand_id != person.hand.pk,
            booking.starts_at if booking else self.begins,
            work.order,
            work.operation.number,
        )

    def _place(self, work: Work) -> Station | None:
        """Where the plan has it if that is free, else any free station of its kind."""
        taken = [person.station.pk for person in self.people if person.station is not None]
        free = [
            station
            for station in self.stations
            if station.kind == work.operation.station_kind
            and taken.count(station.pk) < station.places
        ]
        booking = self.booked.get(work.operation.pk)
        wanted = [s for s in free if booking is not None and s.pk == booking.station_id]
        return next(iter(wanted or free), None)
