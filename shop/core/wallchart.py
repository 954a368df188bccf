"""The wall chart as it is drawn: rows, bars, closures and loads turned into positions.

Lengths are units of the drawing (`px` at its natural size). What a bar can be labelled with depends
on its length, so widths of text are reckoned here, from the typeface's own letters.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from .axis import Axis

WIDTH = 1198.0
NAMES = 148.0
RIGHT = 1024.0
LOAD = 1040.0
TOP = 40.0
ROW = 49.0
LANE = 32.0
BAR = 26.0
GRIP = 24.0
SELVEDGE = 12.0
NARROW = 90.0
SHORT = 44.0
SHORT_IN_A_DAY = 14.0
NARROWEST = 20.0
WEAVES = ("plain", "grain", "diag", "dots", "cross", "upright", "back", "brick", "wave", "fine")


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One operation in its place, or several that follow each other closely.

    `labels` are ways to name it, the longest first; `words` is its name for a screen reader.
    `pinned_to` are the station and the hand of its pin, 0 where it leaves that to the plan.
    `operation`, `station` and `hand` are for the same content as rows, `pk` is that of the
    operation; 0 for several. `kind` and `skill` say where it may go; `due` is until when its order
    is in time, for the last operation of it. `away` is from when its pieces go out until they are
    back. `meanwhile` says which machine runs beside it.
    """

    order: int
    mark: str
    labels: tuple[str, ...]
    words: str
    start: datetime
    end: datetime
    pk: int = 0
    operation: str = ""
    station: str = ""
    hand: str = ""
    is_late: bool = False
    is_done: bool = False
    is_running: bool = False
    count: int = 1
    work_min: float = 0.0
    overtime: tuple[tuple[datetime, datetime], ...] = ()
    overtime_min: float = 0.0
    kind: str = ""
    skill: str = ""
    due: datetime | None = None
    is_pinned: bool = False
    pinned_to: tuple[int, int] = (0, 0)
    meanwhile: str = ""
    away: tuple[datetime, datetime] | None = None

    @property
    def state(self) -> tuple[bool, bool, bool, bool]:
        """What must be equal for two to be drawn as one."""
        return self.is_late, self.is_done, self.is_running, self.is_pinned

    @property
    def spare_min(self) -> float:
        """Minutes that its order has to spare, of the last operation; 0 for any other."""
        return max(0.0, (self.due - self.end).total_seconds() / 60) if self.due else 0.0

    @property
    def can_move(self) -> bool:
        """Whether it is one operation that is still ahead."""
        return bool(self.pk) and not self.is_done and not self.is_running


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """A stretch in which a row stands still, and why."""

    start: datetime
    end: datetime
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """One row of the chart before it is drawn; minutes are working minutes in what is shown.

    `takes` are the kinds of operation that can go there. An order has the instant until which it is
    in time and the one at which it ends.
    """

    name: str
    note: str = ""
    works: tuple[Work, ...] = ()
    closures: tuple[Closed, ...] = ()
    load_min: float = 0.0
    open_min: float = 0.0
    pk: int = 0
    takes: tuple[str, ...] = ()
    openings: tuple[tuple[datetime, datetime], ...] = ()
    due: datetime | None = None
    ends_at: datetime | None = None

    @property
    def spare_min(self) -> float | None:
        """Minutes to spare of an order, negative where it is late; None without a day."""
        if self.due is None or self.ends_at is None:
            return None
        return (self.due - self.ends_at).total_seconds() / 60

    @property
    def late_min(self) -> float:
        """Minutes that an order is late; 0 where it is in time."""
        return max(0.0, -(self.spare_min or 0.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A bar: from `x` to `end`, its label (and where it stands), its marks."""

    work: Work
    x: float
    end: float
    y: float
    label: str = ""
    label_x: float = 0.0
    sign_x: float | None = None
    weave: str = "plain"
    is_followed: bool = False
    comes_from_before: bool = False
    goes_on_after: bool = False
    now_x: float | None = None
    slack: str = ""
    beyond: str = ""

    @property
    def foot(self) -> float:
        """Its lower edge."""
        return self.y + BAR

    @property
    def baseline(self) -> float:
        """Where its label stands."""
        return self.y + 17

    @property
    def selvedge(self) -> float:
        """How wide its strip of weave is; a short bar keeps some ground beside it."""
        return round(min(SELVEDGE, 0.6 * (self.end - self.x)), 1)

    @property
    def grip(self) -> float:
        """How wide a finger may take hold of it."""
        return max(GRIP, round(self.end - self.x, 1))

    @property
    def outline(self) -> str:
        """Its path; an end that lies outside the sheet stays open."""
        if self.comes_from_before and self.goes_on_after:
            return f"M{self.x} {self.y}H{self.end}M{self.x} {self.foot}H{self.end}"
        if self.comes_from_before:
            return f"M{self.x} {self.y}H{self.end}V{self.foot}H{self.x}"
        if self.goes_on_after:
            return f"M{self.end} {self.y}H{self.x}V{self.foot}H{self.end}"
        return f"M{self.x} {self.y}H{self.end}V{self.foot}H{self.x}Z"

    @property
    def teeth(self) -> str:
        """The saw-tooth end of what is late."""
        step, inner = BAR / 6, max(self.x, self.end - 5)
        edge = "".join(
            f"L{self.end + (6 if tooth % 2 else 0):.1f} {self.y + tooth * step:.1f}"
            for tooth in range(7)
        )
        return f"M{inner:.1f} {self.y}{edge}H{inner:.1f}Z"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line of text in the middle of a closure, on ground of its own."""

    text: str
    x: float
    y: float
    left: float
    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A closure as drawn: a dotted outline, crossed out, with its reason if there is room."""

    x: float
    end: float
    y: float
    foot: float
    reason: str
    lines: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """Hours of work against open hours, as a dimension line."""

    reached: float
    cap: float
    over: float | None
    hours: float
    open_hours: float
    over_hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One station or hand, drawn."""

    name: str
    note: str
    y: float
    foot: float
    bars: tuple[Bar, ...]
    stops: tuple[Stop, ...]
    load: Load
    lane: Lane
    due_x: float | None = None
    open_spans: str = ""

    @property
    def grip(self) -> float:
        """How high a finger may take hold of its bars: all of a row, or a lane of several."""
        return ROW if self.foot - self.y <= ROW else LANE


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A word at the head of the chart and the line under it."""

    x: float
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """Everything that is drawn."""

    rows: tuple[Row, ...]
    days: tuple[Tick, ...]
    hours: tuple[Tick, ...]
    foot: float
    now_x: float | None

    @property
    def is_now_below(self) -> bool:
        """Whether the word for now would lie on the name of a day, and so stands at the foot."""
        x = self.now_x
        return x is not None and any(day.text and day.x - 80 < x < day.x + 72 for day in self.days)

    @property
    def height(self) -> float:
        """The height of the drawing."""
        return self.foot + (24 if self.is_now_below else 8)


def draw(
    lanes: Sequence[Lane],
    axis: Axis,
    *,
    now: datetime,
    followed: int | None = None,
    weaves: Mapping[int, str] | None = None,
) -> Chart:
    """Draw the chart."""
    rows: list[Row] = []
    y = TOP
    now_x = round(axis.x(now), 1) if axis.holds(now) else None
    pen = _Pen(axis=axis, now_x=now_x, followed=followed, weaves=weaves or {})
    most = max([lane.open_min for lane in lanes] + [60.0])
    for lane in lanes:
        row = pen.row(lane, y, most)
        rows.append(row)
        y = row.foot
    return Chart(
        rows=tuple(rows), days=ticks_of_days(axis), hours=_hours(axis), foot=y, now_x=now_x
    )


def weaves_of(orders: Sequence[int]) -> dict[int, str]:
    """A weave for each order; after ten they come round again, and the number still tells."""
    return {order: WEAVES[index % len(WEAVES)] for index, order in enumerate(sorted(set(orders)))}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pen:
    """What all rows are drawn with."""

    axis: Axis
    now_x: float | None
    followed: int | None
    weaves: Mapping[int, str]

    def row(self, lane: Lane, y: float, most: float) -> Row:
        tracks = _tracks([w for w in lane.works if self.axis.overlaps(w.start, w.end)])
        bars: list[Bar] = []
        for index, track in enumerate(tracks):
            bars += self.track(track, y + 6 + index * LANE, lane.closures)
        foot = y + ROW + max(0, len(tracks) - 1) * LANE
        return Row(
            name=lane.name,
            note=lane.note,
            y=y,
            foot=foot,
            bars=tuple(bars),
            stops=tuple(self.stop(c, y, foot, lane.works) for c in lane.closures if self.shows(c)),
            load=_load(lane, most),
            lane=lane,
            due_x=self.due_x(lane.due),
            open_spans=self.axis.minutes_of(lane.openings),
        )

    def due_x(self, due: datetime | None) -> float | None:
        """Where an order stops being in time, if that lies on the sheet."""
        if due is None or not self.axis.starts_at < due <= self.axis.ends_at + timedelta(hours=12):
            return None
        return round(self.axis.x(due - timedelta(seconds=1)), 1)

    def beyond(self, work: Work, y: float) -> str:
        """A line under the stretches that are worked beyond regular hours."""
        spans = [(round(self.axis.x(a), 1), round(self.axis.x(b), 1)) for a, b in work.overtime]
        return "".join(f"M{x} {y + BAR + 3}H{end}" for x, end in spans if end > x)

    def slack(self, work: Work, end: float, y: float) -> str:
        """A dimension line from the end of an order to the day it is due."""
        if work.due is None or work.end >= work.due:
            return ""
        until = round(min(self.axis.x(work.due), self.axis.right), 1)
        if until < end + 10:
            return ""
        middle = y + BAR / 2
        tick = "" if until >= self.axis.right else f"M{until - 4} {middle + 5}l8 -10"
        return f"M{end + 2} {middle}H{until}{tick}"

    def shows(self, closed: Closed) -> bool:
        return self.axis.x(closed.end) - self.axis.x(closed.start) >= 2

    def track(self, works: Sequence[Work], y: float, closures: Sequence[Closed]) -> list[Bar]:
        bars = [self.bar(work, y) for work in self.merged(works)]
        edges = [bar.x for bar in bars] + [self.axis.x(c.start) for c in closures if self.shows(c)]
        edges.append(self.axis.right + 12)
        return [_labelled(bar, min(x for x in edges if x >= bar.end - 1)) for bar in bars]

    def merged(self, works: Sequence[Work]) -> list[Work]:
        """Neighbours of one order that would be too short to be told apart become one bar."""
        found: list[Work] = []
        for work in works:
            last = found[-1] if found else None
            if last and self.are_one(last, work):
                found[-1] = _joined(last, work)
            else:
                found.append(work)
        return found

    def are_one(self, a: Work, b: Work) -> bool:
        if a.order != b.order or a.state != b.state:
            return False
        gap = self.axis.x(b.start) - self.axis.x(a.end)
        short = min(self.axis.x(w.end) - self.axis.x(w.start) for w in (a, b))
        return gap < 2 and short < (SHORT if len(self.axis.days) > 1 else SHORT_IN_A_DAY)

    def bar(self, work: Work, y: float) -> Bar:
        x, end = round(self.axis.x(work.start), 1), round(self.axis.x(work.end), 1)
        end = max(end, round(x + 2.5, 1))
        crosses = self.now_x is not None and x + 5 < self.now_x < end - 5
        return Bar(
            work=work,
            x=x,
            end=end,
            y=y,
            weave=self.weaves.get(work.order, "plain"),
            is_followed=work.order == self.followed,
            comes_from_before=work.start < self.axis.starts_at,
            goes_on_after=work.end > self.axis.ends_at,
            now_x=self.now_x if crosses else None,
            slack=self.slack(work, end, y),
            beyond=self.beyond(work, y),
        )

    def stop(self, closed: Closed, y: float, foot: float, works: Sequence[Work]) -> Stop:
        """A closure; its reason is written where no bar lies, as one does in a plan grown stale."""
        is_free = not any(w.start < closed.end and w.end > closed.start for w in works)
        x, end = round(self.axis.x(closed.start), 1), round(self.axis.x(closed.end), 1)
        return Stop(
            x=x,
            end=end,
            y=y + 6,
            foot=foot - 11,
            reason=closed.reason,
            lines=_lines(closed.reason, (x, end), (y + foot - 5) / 2) if is_free else (),
        )


def _lines(text: str, span: tuple[float, float], middle: float) -> tuple[Line, ...]:
    """The reason in one line or two, or nothing if there is no room; the title still says it."""
    room = span[1] - span[0] - 8
    whole = [text]
    words = text.split()
    halves = [[" ".join(words[:cut]), " ".join(words[cut:])] for cut in range(1, len(words))]
    for lines in [whole, *halves]:
        if max(map(text_width, lines)) <= room:
            top = middle - 8 * (len(lines) - 1)
            return tuple(_line(line, sum(span) / 2, top + 16 * i) for i, line in enumerate(lines))
    return ()


def _line(text: str, x: float, y: float) -> Line:
    width = text_width(text) + 6
    return Line(
        text=text,
        x=round(x, 1),
        y=round(y + 5, 1),
        left=round(x - width / 2, 1),
        width=round(width, 1),
    )


def _tracks(works: Sequence[Work]) -> list[list[Work]]:
    """Works that overlap lie under each other, in as few tracks as there are at once.

    What a hand does while a machine runs lies below the run.
    """
    below = [work for work in works if work.meanwhile and _is_beside(work, works)]
    return _packed([work for work in works if work not in below]) + _packed(below)


def _is_beside(work: Work, works: Sequence[Work]) -> bool:
    rest = (other for other in works if not other.meanwhile)
    return any(other.start < work.end and work.start < other.end for other in rest)


def _packed(works: Sequence[Work]) -> list[list[Work]]:
    tracks: list[list[Work]] = []
    for work in sorted(works, key=lambda w: (w.start, w.end)):
        for track in tracks:
            if track[-1].end <= work.start:
                track.append(work)
                break
        else:
            tracks.append([work])
    return tracks


def _joined(a: Work, b: Work) -> Work:
    count = a.count + b.count
    shared = [label for label in a.labels if label in b.labels]
    labels = dict.fromkeys((f"{a.mark} {count} operations", *shared, a.mark))
    return replace(
        a,
        pk=0,
        end=b.end,
        due=b.due,
        overtime=(*a.overtime, *b.overtime),
        overtime_min=a.overtime_min + b.overtime_min,
        count=count,
        labels=tuple(labels),
        words=f"{a.words}; {b.words}",
    )


def _labelled(bar: Bar, until: float) -> Bar:
    """The longest label that fits into the bar, else its number beside it, else none."""
    late = ", late" if bar.work.is_late else ""
    sign = 12.0 if bar.work.is_running else 0.0
    before = bar.selvedge + 5 + sign
    inside = bar.end - bar.x - before - (8 if bar.work.is_done else 4)
    for label in [f"{name}{late}" for name in bar.work.labels] + [bar.work.mark]:
        if text_width(label, bold=bar.is_followed) <= inside:
            return _named(bar, label, bar.x + before, sign)
    start = bar.end + (10 if late or bar.work.is_done else 4) + sign
    for label in (f"{bar.work.mark}{late}", bar.work.mark):
        if start + text_width(label, bold=bar.is_followed) <= until - 4:
            return _named(bar, label, start, sign)
    return bar


def _named(bar: Bar, label: str, x: float, sign: float) -> Bar:
    sign_x = round(x - sign, 1) if sign else None
    return replace(bar, label=label, label_x=round(x, 1), sign_x=sign_x)


def _load(lane: Lane, most: float) -> Load:
    scale = 106.7 / most
    over_min = max(0.0, lane.load_min - lane.open_min)
    cap = LOAD + lane.open_min * scale
    over = min(cap + 1 + max(over_min * scale, 4), WIDTH - 2) if over_min >= 3 else None
    return Load(
        reached=round(LOAD + min(lane.load_min, lane.open_min) * scale, 1),
        cap=round(cap, 1),
        over=round(over, 1) if over is not None else None,
        hours=lane.load_min / 60,
        open_hours=lane.open_min / 60,
        over_hours=over_min / 60,
    )


def ticks_of_days(axis: Axis) -> tuple[Tick, ...]:
    """A line for each day with its name; where they are narrow, the name of each week's first."""
    xs = [round(axis.left + i * axis.day_width, 1) for i in range(len(axis.days))]
    if axis.day_width >= NARROW:
        return tuple(
            Tick(x=x, text=f"{day:%a} {day.day}") for x, day in zip(xs, axis.days, strict=True)
        )
    weeks = [day.isocalendar()[:2] for day in axis.days]
    firsts = [i == 0 or weeks[i] != weeks[i - 1] for i in range(len(weeks))]
    width = axis.day_width * len(weeks) / max(1, sum(firsts))
    return tuple(
        Tick(x=x, text=_week_name(day, width) if first else "")
        for x, day, first in zip(xs, axis.days, firsts, strict=True)
        if first or axis.day_width >= NARROWEST
    )


def _week_name(day: date, width: float) -> str:
    return f"{day.day} {day:%b}" if width < 110 else f"Week {day:%V}, {day.day} {day:%b}"


def _hours(axis: Axis) -> tuple[Tick, ...]:
    if axis.day_width < NARROW:
        return ()
    room = axis.day_width / (axis.shuts - axis.opens)
    step = next((s for s in (1, 2, 3, 4, 6) if room * s >= 60), 12)
    return tuple(
        Tick(x=round(axis.x(axis.edge(day, hour)), 1), text=str(hour))
        for day in axis.days
        for hour in range(axis.opens + 1, axis.shuts)
        if hour % step == 0
    )


def text_width(text: str, *, bold: bool = False) -> float:
    """About how long a text of 14 px is, from the classes of its letters."""
    width = sum(_LETTERS.get(letter, 6.6) for letter in text)
    return width * (1.06 if bold else 1.0)


_LETTERS = {
    **dict.fromkeys("0123456789", 8.2),
    **dict.fromkeys("iljI.,:;'|", 3.2),
    **dict.fromkeys("tfr -()", 4.3),
    **dict.fromkeys("mwMW", 9.8),
    **dict.fromkeys("ABCDEFGHKNOPQRSUVXYZ", 7.8),
}
