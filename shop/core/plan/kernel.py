"""The inner loop of the search: a list of jobs becomes a plan, and the list is annealed.

Written over one list of whole numbers and one of real ones, so that the same lines run as they
stand or compiled (`compiled`); nothing is imported from elsewhere in the room. In the store `s` a
job, a mode, a calendar and so on is the place where its record begins: `s[job + LAG]` is its lag,
and `s[job + BEFORE]` to `s[job + BEFORE_END]` is where the jobs before it are listed.

A list is decoded job by job: each goes where it ends soonest beside what is there already, gaps
included. What is taken of a station, a hand or gear is a row of steps: from the tick of one until
that of the next, so much is taken. The state of the shop is kept at marks along the list, so that a
changed list is decoded from the mark before its first change; and a list is given up once its
lateness, by what is placed and the shortest way on from there, is more than may be accepted.
"""

from math import exp, log
from typing import Any

Whole = Any
Real = Any

NEVER = 1e300
MISSED_PIN = 1e15
BUCKET = 6
"""Stretches of a calendar are looked up in buckets of 2 ** BUCKET ticks."""
LATEST = 2**31 - 1
MOST_BIAS = 400
ANY, ANEW, LONGER = -1, -2, -3
"""What a job is tied to instead of one of its modes: none; none and not what was told; none, and
overtime may be worked."""

# The head of the store: what there is and where it begins.
MAKESPAN, JOBS, JOB_COUNT, RESOURCES, RESOURCE_COUNT, ORDERS, ORDER_COUNT = range(7)
LISTED, EVERY, LIST, TRIED, BEST, SCRATCH, RANDOM = range(7, 14)
MARKS, MARK_SIZE, BANKS, SPAN_TRIED, TOLERANCE, HAS_LONG, OPEN = range(14, 21)
HEAD = 21

# A job. Suffix 0 is the current list and plan, 1 the one that is tried. FIXED: 1 for a job pinned
# to a time, 2 for one under way. TAIL: the least ticks from its end to the end of its order or of
# the plan. TOLD: the mode and the start that people were told, -1 for none. LONG_END: where its
# modes with overtime end, which follow the others. LIMITS: where its limits are listed, by when it
# must end for its order to keep to each level; then the open ticks before each.
MODES, MODES_END, BEFORE, BEFORE_END, AFTER, AFTER_END, GEAR, GEAR_END = range(8)
LAG, RELEASE, ORDER, BREAKABLE, FAMILY, FIXED, TAIL, HOLD = range(8, 16)
TOLD_MODE, TOLD_START, AT, PIN0, PIN1, MODE0, MODE1, START0 = range(16, 24)
START1, END0, END1, USED0, USED1, FLAG = range(24, 30)
BEST_PIN, BEST_MODE, BEST_START, BEST_END, LONG_END, BATCHED, LIMITS = range(30, 37)
JOB = 37

# A way to staff a job: LENGTH is where its lengths by the family before it are listed, or the one;
# LENGTHS is how many there are. WORK is the length without set-up. REGULAR is where the regular
# calendars of each who would work overtime are listed.
STATION, USES, USES_END, CALENDAR, SKILL, SHARES, LENGTH, LENGTHS, LEAST = range(9)
WORK, REGULAR, REGULAR_END = range(9, 12)
MODE = 12

# A calendar, or the trips of what is away: its stretches, and for each bucket of ticks the first
# stretch that ends after it began.
HOURS, HOURS_END, BUCKETS, BUCKETS_END = range(4)
CALENDAR_SIZE = 4
# A mode names its trips by the place below 0, so that nothing else has to look for them.
OPENS, SHUTS, WORKED = range(3)
BACK = WORKED
STRETCH = 3
WALL_CLOCK = -1

# A resource: STEPS and ROW are where its steps and its row of jobs begin in the state of the shop.
# BIAS: how many ticks sooner a job must end before it is chosen, so that who is scarce is spared.
CAPACITY, OWN_CALENDAR, FIRST_FAMILY, STEPS, ROW, STEP_COUNT, ROW_COUNT = range(7)
BIAS0, BIAS1, BEST_BIAS = range(7, 10)
RESOURCE = 10
TICK, LEVEL = range(2)
STEP = 2

# An order, with those of its jobs that are not fixed. BEGUN: when it began, LATEST if it has not.
# LEVEL: how many of its levels it misses: the first is the day it is due, the next the one after
# it. MISSED: where it is listed, by level, how soon it can end that misses it, LEVELS how many
# there are.
DUE, MEMBERS, MEMBERS_END, WEIGHT, END_TRIED, START_TRIED, LEVEL_TRIED, END_NOW, LEVEL_NOW = range(
    9
)
BEGUN, LATE_PRICE, MISSED, LEVELS = range(9, 13)
ORDER_SIZE = 13

# The real numbers: worth of the current and of the tried plan, rank of the best, prices.
NOW, TRYING, BEST_MAIN, BEST_SPAN, BEST_SUM, MOVED_PRICE, SETUP_PRICE, PULL = range(8)
OVERTIME_PRICE, PROGRESS_PRICE, IDLE_PRICE, SLIP_PRICE, SLIP_NOW, SLIP_TRYING = range(8, 14)
BEST_SLIP, REALS = 14, 15


def drawn(s: Whole) -> float:
    """The next random number, from 0 to 1. Source: Park and Miller, CACM 31 (1988)."""
    s[RANDOM] = (s[RANDOM] * 48271) % 2147483647
    return s[RANDOM] / 2147483647.0  # type: ignore[no-any-return]


def below(s: Whole, n: int) -> int:
    """A random whole number from 0 to n - 1."""
    return min(int(drawn(s) * n), n - 1)


def far(s: Whole, n: int) -> int:
    """A distance from 1 to n, near ones as likely as far ones by their logarithm."""
    return min(n, int(exp(drawn(s) * log(n + 1.0))))


def step_at(s: Whole, base: int, n: int, tick: int) -> int:
    """Which of n steps is in force at a tick."""
    low, high = 0, n - 1
    while low < high:
        middle = (low + high + 1) >> 1
        if s[base + STEP * middle + TICK] <= tick:
            low = middle
        else:
            high = middle - 1
    return low


def clash(s: Whole, resource: int, start: int, end: int, count: int, least: int) -> int:
    """-1 when there is room from start to end; else the next tick with room for `least` ticks."""
    base, n = s[resource + STEPS], s[resource + STEP_COUNT]
    room = s[resource + CAPACITY] - count
    step = base + STEP * step_at(s, base, n, start)
    last = base + STEP * n
    while s[step + LEVEL] <= room:
        step += STEP
        if step >= last or s[step + TICK] >= end:
            return -1
    while True:
        while s[step + LEVEL] > room:
            step += STEP
        begins = s[step + TICK]
        while s[step + LEVEL] <= room:
            step += STEP
            if step >= last or s[step + TICK] >= begins + least:
                return begins  # type: ignore[no-any-return]


def book(s: Whole, resource: int, start: int, end: int, count: int) -> None:
    """Takes so many of a resource from start to end, and on until it next opens."""
    end = next_open(s, s[resource + OWN_CALENDAR], end)
    base, n = s[resource + STEPS], s[resource + STEP_COUNT]
    first = base + STEP * step_at(s, base, n, start)
    last = base + STEP * n
    if s[first + TICK] != start:
        first += STEP
        last = push(s, first, last)
        s[first + TICK], s[first + LEVEL] = start, s[first - STEP + LEVEL]
    step = first
    while step + STEP < last and s[step + STEP + TICK] < end:
        s[step + LEVEL] += count
        step += STEP
    after = step + STEP
    if after >= last or s[after + TICK] != end:
        last = push(s, after, last)
        s[after + TICK], s[after + LEVEL] = end, s[step + LEVEL]
    s[step + LEVEL] += count
    if s[after + LEVEL] == s[step + LEVEL]:
        last = pull(s, after, last)
    if first > base and s[first + LEVEL] == s[first - STEP + LEVEL]:
        last = pull(s, first, last)
    s[resource + STEP_COUNT] = (last - base) // STEP


def push(s: Whole, step: int, last: int) -> int:
    """Makes room for a step; gives the new end of the row."""
    for i in range(last + STEP - 1, step + STEP - 1, -1):
        s[i] = s[i - STEP]
    return last + STEP


def pull(s: Whole, step: int, last: int) -> int:
    """Takes a step out; gives the new end of the row."""
    for i in range(step, last - STEP):
        s[i] = s[i + STEP]
    return last - STEP


def stretch_at(s: Whole, calendar: int, tick: int) -> int:
    """The first stretch of a calendar that ends after a tick; -1 beyond the last."""
    bucket = s[calendar + BUCKETS] + (tick >> BUCKET)
    if bucket >= s[calendar + BUCKETS_END]:
        return -1
    stretch, last = s[bucket], s[calendar + HOURS_END]
    while stretch < last and s[stretch + SHUTS] <= tick:
        stretch += STRETCH
    return stretch if stretch < last else -1


def next_open(s: Whole, calendar: int, tick: int) -> int:
    """The first open tick from a tick on; the tick itself by the wall clock or at the very end."""
    if calendar < 0:
        return tick
    stretch = stretch_at(s, calendar, tick)
    return tick if stretch < 0 else max(tick, s[stretch + OPENS])


def run_from(s: Whole, calendar: int, tick: int, work: int, breakable: int) -> tuple[int, int]:
    """Start and end of the first run of work from a tick on; (-1, -1) beyond the last."""
    if calendar < 0:
        return (tick, tick + work) if calendar == WALL_CLOCK else trip_from(s, -calendar, tick)
    stretch = stretch_at(s, calendar, tick)
    if stretch < 0:
        return -1, -1
    start = max(tick, s[stretch + OPENS])
    if start + work <= s[stretch + SHUTS]:
        return start, start + work
    last = s[calendar + HOURS_END]
    if breakable:
        done = s[stretch + WORKED] + start - s[stretch + OPENS] + work
        while s[stretch + WORKED] + s[stretch + SHUTS] - s[stretch + OPENS] < done:
            stretch += STRETCH
            if stretch >= last:
                return -1, -1
        return start, s[stretch + OPENS] + done - s[stretch + WORKED]
    while stretch + STRETCH < last:
        stretch += STRETCH
        if s[stretch + SHUTS] - s[stretch + OPENS] >= work:
            return s[stretch + OPENS], s[stretch + OPENS] + work
    return -1, -1


def trip_from(s: Whole, trips: int, tick: int) -> tuple[int, int]:
    """When pieces that are ready at a tick leave and are back; (-1, -1) beyond the last trip."""
    stretch = stretch_at(s, trips, tick)
    if stretch < 0:
        return -1, -1
    start = max(tick, s[stretch + OPENS])
    return start, max(start + 1, s[stretch + BACK])


def worked(s: Whole, calendar: int, tick: int) -> int:
    """Open ticks of a calendar before a tick."""
    stretch = stretch_at(s, calendar, tick)
    if stretch < 0:
        last = s[calendar + HOURS_END] - STRETCH
        if last < s[calendar + HOURS]:
            return 0
        return s[last + WORKED] + s[last + SHUTS] - s[last + OPENS]  # type: ignore[no-any-return]
    return s[stretch + WORKED] + max(0, tick - s[stretch + OPENS])  # type: ignore[no-any-return]


def overtime(s: Whole, job: int) -> int:
    """Ticks of overtime of a job that is placed, of each who works them."""
    mode, total = s[job + MODE1], 0
    for i in range(s[mode + REGULAR], s[mode + REGULAR_END]):
        regular = worked(s, s[i], s[job + END1]) - worked(s, s[i], s[job + START1])
        total += s[job + USED1] - regular
    return total


def row_at(s: Whole, station: int, tick: int) -> int:
    """How many jobs in a station's row start at or before a tick."""
    base = s[station + ROW]
    low, high = 0, s[station + ROW_COUNT]
    while low < high:
        middle = (low + high) >> 1
        if s[s[base + middle] + START1] <= tick:
            low = middle + 1
        else:
            high = middle
    return low


def length_of(s: Whole, mode: int, place: int) -> int:
    """Ticks of work at a place in the row of a station where set-ups can be kept."""
    station = s[mode + STATION]
    if place == 0:
        return s[s[mode + LENGTH] + s[station + FIRST_FAMILY]]  # type: ignore[no-any-return]
    return s[s[mode + LENGTH] + s[s[s[station + ROW] + place - 1] + FAMILY]]  # type: ignore[no-any-return]


def spoils(s: Whole, job: int, station: int, place: int) -> bool:
    """Whether a job put at a place in the row changes the set-up of the job behind it."""
    if place >= s[station + ROW_COUNT]:
        return False
    later = s[s[station + ROW] + place]
    return s[s[s[later + MODE1] + LENGTH] + s[job + FAMILY]] != s[later + USED1]  # type: ignore[no-any-return]


def taken_until(s: Whole, job: int, mode: int, start: int, end: int) -> int:
    """-1 when all that a job needs is free from start to end; else a later tick to try from."""
    for use in range(s[mode + USES], s[mode + USES_END]):
        later = clash(s, s[use], start, end, 1, s[mode + LEAST])
        if later >= 0:
            return later
    for gear in range(s[job + GEAR], s[job + GEAR_END], 2):
        held = end + s[job + HOLD]
        later = clash(s, s[gear], start, held, s[gear + 1], s[mode + LEAST] + s[job + HOLD])
        if later >= 0:
            return later
    return -1


def try_mode(s: Whole, job: int, mode: int, tick: int, limit: int) -> tuple[int, int, int]:
    """Start, end and ticks of work of a job in a mode, as early as it can.

    (-1, -1, -1) if its end would be after the limit.
    """
    station, shares, place = s[mode + STATION], s[mode + SHARES], 0
    work = s[mode + LEAST]
    while tick + s[mode + LEAST] <= limit:
        if shares:
            place = row_at(s, station, tick)
            work = length_of(s, mode, place)
        start, end = run_from(s, s[mode + CALENDAR], tick, work, s[job + BREAKABLE])
        if start < 0 or end > limit:
            return -1, -1, -1
        later = taken_until(s, job, mode, start, end)
        if later < 0 and shares:
            if spoils(s, job, station, place):
                later = s[s[s[station + ROW] + place] + START1] + 1
            elif start > tick and row_at(s, station, start) != place:
                later = start
        if later < 0:
            return start, end, work
        tick = later
    return -1, -1, -1


def put(s: Whole, job: int, mode: int, start: int, end: int, used: int) -> None:
    """Books a job."""
    s[job + MODE1], s[job + START1], s[job + END1], s[job + USED1] = mode, start, end, used
    for use in range(s[mode + USES], s[mode + USES_END]):
        book(s, s[use], start, end, 1)
    for gear in range(s[job + GEAR], s[job + GEAR_END], 2):
        book(s, s[gear], start, end + s[job + HOLD], s[gear + 1])
    if s[mode + SHARES]:
        station = s[mode + STATION]
        base, place = s[station + ROW], row_at(s, station, start)
        for i in range(base + s[station + ROW_COUNT], base + place, -1):
            s[i] = s[i - 1]
        s[base + place] = job
        s[station + ROW_COUNT] += 1


def as_told(s: Whole, job: int) -> bool:
    """Puts a job where people expect it, if it is free to go there and there is room."""
    mode = s[job + TOLD_MODE]
    if mode < 0 or (s[job + PIN1] != ANY and s[job + PIN1] != mode):
        return False
    start, end, work = try_mode(s, job, mode, s[job + TOLD_START], LATEST)
    if start < 0 or start - s[job + TOLD_START] > s[TOLERANCE]:
        return False
    put(s, job, mode, start, end, work)
    return True


def ready_at(s: Whole, job: int) -> int:
    """When a job can begin by what comes before it; -1 where that is not all placed."""
    tick = s[job + RELEASE]
    for i in range(s[job + BEFORE], s[job + BEFORE_END]):
        end = s[s[i] + END1]
        if end < 0:
            return -1
        tick = max(tick, end + s[job + LAG])
    return tick  # type: ignore[no-any-return]


def place(s: Whole, job: int) -> bool:
    """Puts a job where it ends soonest, beside what its crew is worth, with the least skill.

    False if it cannot be put.
    """
    tick = ready_at(s, job)
    if tick < 0:
        return False
    if s[job + TOLD_START] >= tick and as_told(s, job):
        return True
    first, last = s[job + MODES], s[job + MODES_END]
    if s[job + PIN1] == LONGER:
        last = s[job + LONG_END]
    elif s[job + PIN1] >= 0:
        first, last = s[job + PIN1], s[job + PIN1] + MODE
    best, start, end, used, worth = -1, -1, -1, -1, LATEST
    for mode in range(first, last, MODE):
        bias = 0
        for use in range(s[mode + USES], s[mode + USES_END]):
            bias += s[s[use] + BIAS1]
        limit = worth - bias
        if best >= 0 and s[mode + SKILL] >= s[best + SKILL]:
            limit -= 1
        begins, ends, work = try_mode(s, job, mode, tick, limit)
        if begins >= 0:
            best, start, end, used, worth = mode, begins, ends, work, ends + bias
    if best < 0:
        return False
    put(s, job, best, start, end, used)
    return True


def is_moved(s: Whole, job: int) -> bool:
    """Whether a job that is placed is not where people were told."""
    told = s[job + TOLD_MODE]
    if told < 0 or s[s[job + MODE1] + USES] != s[told + USES]:
        return True
    return abs(s[job + START1] - s[job + TOLD_START]) > s[TOLERANCE]  # type: ignore[no-any-return]


def count_order(s: Whole, x: Real, order: int, start: int, end: int) -> None:
    """Adds what an order counts more once it lasts from a start to an end too."""
    old, begun = s[order + END_TRIED], s[order + START_TRIED]
    if x[PROGRESS_PRICE] > 0:
        before = old - begun if begun < LATEST else 0
        s[order + START_TRIED] = min(begun, start)
        after = max(old, end) - s[order + START_TRIED]
        x[TRYING] += x[PROGRESS_PRICE] * (after - before)
    if end > old:
        weight, due = x[s[order + WEIGHT]], s[order + DUE]
        s[order + END_TRIED] = end
        x[TRYING] += weight * x[PULL] * (end - old)
        if end > due:
            x[TRYING] += weight * (end - max(old, due))
            if old <= due or old == 0:
                x[TRYING] += x[s[order + LATE_PRICE]]


def count_in(s: Whole, x: Real, job: int) -> None:
    """Adds what a job that is placed says of the worth of the plan."""
    end = s[job + END1] + s[job + TAIL]
    if s[MAKESPAN]:
        if end > s[SPAN_TRIED]:
            x[TRYING] += end - s[SPAN_TRIED]
            s[SPAN_TRIED] = end
    elif s[job + ORDER] >= 0:
        order = s[job + ORDER]
        level = s[order + LEVEL_TRIED]
        while level < s[order + LEVELS] and s[job + END1] > s[s[job + LIMITS] + level]:
            end = max(end, s[s[order + MISSED] + level])
            level += 1
        s[order + LEVEL_TRIED] = level
        count_order(s, x, order, s[job + START1], end)
    if s[job + TOLD_START] >= 0 and is_moved(s, job):
        x[TRYING] += x[MOVED_PRICE]
    if x[SETUP_PRICE] > 0:
        x[TRYING] += x[SETUP_PRICE] * (s[job + USED1] - s[s[job + MODE1] + WORK])
    if x[OVERTIME_PRICE] > 0:
        x[TRYING] += x[OVERTIME_PRICE] * overtime(s, job)
    may_idle = not s[job + FIXED] and not s[job + BATCHED]
    if x[IDLE_PRICE] > 0 and may_idle and s[job + BEFORE] < s[job + BEFORE_END]:
        x[TRYING] += x[IDLE_PRICE] * max(0, s[job + START1] - ready_at(s, job))
    for i in range(s[job + AFTER], s[job + AFTER_END]):
        later = s[i]
        if s[later + FIXED] == 1 and s[job + END1] + s[later + LAG] > s[later + START1]:
            x[TRYING] += MISSED_PIN


def state_pass(s: Whole, at: int, saves: bool) -> None:
    """Copies the state of the shop to a place in the store, or from there."""
    for r in range(s[RESOURCES], s[RESOURCES] + RESOURCE * s[RESOURCE_COUNT], RESOURCE):
        if saves:
            s[at], s[at + 1] = s[r + STEP_COUNT], s[r + ROW_COUNT]
        else:
            s[r + STEP_COUNT], s[r + ROW_COUNT] = s[at], s[at + 1]
        at += 2
        at = span_pass(s, s[r + STEPS], STEP * s[r + STEP_COUNT], at, saves)
        at = span_pass(s, s[r + ROW], s[r + ROW_COUNT], at, saves)
    for o in range(s[ORDERS], s[ORDERS] + ORDER_SIZE * s[ORDER_COUNT], ORDER_SIZE):
        at = span_pass(s, o + END_TRIED, 3, at, saves)
    span_pass(s, SPAN_TRIED, 1, at, saves)


def span_pass(s: Whole, own: int, size: int, at: int, saves: bool) -> int:
    """Copies some numbers to a place in the store, or from there; gives the place behind."""
    if saves:
        for i in range(size):
            s[at + i] = s[own + i]
    else:
        for i in range(size):
            s[own + i] = s[at + i]
    return at + size


def save(s: Whole, x: Real, mark: int, bank: int) -> None:
    """Keeps the state of the shop at a mark."""
    k = 2 * mark + bank
    state_pass(s, s[MARKS] + k * s[MARK_SIZE], True)
    x[len(x) - 1 - k] = x[TRYING]


def load(s: Whole, x: Real, mark: int) -> None:
    """Brings back the state of the shop at a mark of the current list."""
    k = 2 * mark + s[s[BANKS] + mark]
    state_pass(s, s[MARKS] + k * s[MARK_SIZE], False)
    x[TRYING] = x[len(x) - 1 - k]


def slip_of(s: Whole, order: int) -> int:
    """Open ticks by which an order that is late misses the last level that it misses."""
    level, most = s[order + LEVEL_TRIED] - 1, 0
    for i in range(s[order + MEMBERS], s[order + MEMBERS_END]):
        job = s[i]
        if s[job + END1] > s[s[job + LIMITS] + level]:
            kept = s[s[job + LIMITS] + s[order + LEVELS] + level]
            most = max(most, worked(s, s[OPEN], s[job + END1]) - kept)
    return most


def count_slips(s: Whole, x: Real) -> None:
    """Adds a little for how far late orders are from being a day less late.

    What a night makes of a minute hides which of two plans is nearer to a better one.
    """
    x[SLIP_TRYING] = 0.0
    if x[SLIP_PRICE] > 0:
        for o in range(s[ORDERS], s[ORDERS] + ORDER_SIZE * s[ORDER_COUNT], ORDER_SIZE):
            if s[o + LEVEL_TRIED] > 0:
                x[SLIP_TRYING] += x[SLIP_PRICE] * x[s[o + WEIGHT]] * slip_of(s, o)
    x[TRYING] += x[SLIP_TRYING]


def decode(s: Whole, x: Real, changed: int, limit: float) -> bool:
    """Plans the list that is tried, from the mark before its first change.

    False if it cannot be planned or is worth less than the limit allows.
    """
    n, every, listed = s[LISTED], s[EVERY], s[TRIED]
    mark = changed // every
    load(s, x, mark)
    for i in range(mark * every, n):
        s[s[listed + i] + END1] = -1
    for i in range(mark * every, n):
        if i % every == 0 and i > mark * every:
            save(s, x, i // every, 1 - s[s[BANKS] + i // every])
        job = s[listed + i]
        if not place(s, job):
            return False
        count_in(s, x, job)
        if x[TRYING] > limit:
            return False
    count_slips(s, x)
    return x[TRYING] <= limit  # type: ignore[no-any-return]


def accept(s: Whole, x: Real, changed: int) -> None:
    """Makes the list and plan that were tried the current ones."""
    n, every = s[LISTED], s[EVERY]
    mark = changed // every
    for i in range(mark * every, n):
        job = s[s[TRIED] + i]
        s[s[LIST] + i] = job
        s[job + AT], s[job + PIN0], s[job + MODE0] = i, s[job + PIN1], s[job + MODE1]
        s[job + START0], s[job + END0] = s[job + START1], s[job + END1]
        s[job + USED0] = s[job + USED1]
    for k in range(s[BANKS] + mark + 1, s[BANKS] + (n - 1) // every + 1):
        s[k] = 1 - s[k]
    for o in range(s[ORDERS], s[ORDERS] + ORDER_SIZE * s[ORDER_COUNT], ORDER_SIZE):
        s[o + END_NOW], s[o + LEVEL_NOW] = s[o + END_TRIED], s[o + LEVEL_TRIED]
    if changed == 0:
        for r in range(s[RESOURCES], s[RESOURCES] + RESOURCE * s[RESOURCE_COUNT], RESOURCE):
            s[r + BIAS0] = s[r + BIAS1]
    x[NOW], x[SLIP_NOW] = x[TRYING], x[SLIP_TRYING]


def undo(s: Whole, changed: int) -> None:
    """Makes what is tried the same as the current list and plan again."""
    for i in range(changed // s[EVERY] * s[EVERY], s[LISTED]):
        job = s[s[LIST] + i]
        s[s[TRIED] + i] = job
        s[job + PIN1], s[job + MODE1], s[job + START1] = (
            s[job + PIN0],
            s[job + MODE0],
            s[job + START0],
        )
        s[job + END1], s[job + USED1] = s[job + END0], s[job + USED0]
    if changed == 0:
        for r in range(s[RESOURCES], s[RESOURCES] + RESOURCE * s[RESOURCE_COUNT], RESOURCE):
            s[r + BIAS1] = s[r + BIAS0]


def main_of(s: Whole, x: Real) -> float:
    """What the current plan is worth by the goal alone."""
    total = x[NOW] - x[SLIP_NOW]
    if not s[MAKESPAN]:
        for o in range(s[ORDERS], s[ORDERS] + ORDER_SIZE * s[ORDER_COUNT], ORDER_SIZE):
            total -= x[s[o + WEIGHT]] * x[PULL] * s[o + END_NOW]
    return total  # type: ignore[no-any-return]


def keep_best(s: Whole, x: Real) -> None:
    """Keeps the current plan if it is the best by goal, slips, makespan and sum of ends."""
    main = main_of(s, x)
    if main > x[BEST_MAIN] + 1e-6:
        return
    first, last = s[JOBS], s[JOBS] + JOB * s[JOB_COUNT]
    slip = x[SLIP_NOW] / x[SLIP_PRICE] if x[SLIP_PRICE] > 0 else 0.0
    is_same = main > x[BEST_MAIN] - 1e-6
    if is_same and slip > x[BEST_SLIP] + 1e-6:
        return
    is_same = is_same and slip > x[BEST_SLIP] - 1e-6
    span, total = 0.0, 0.0
    for job in range(first, last, JOB):
        span = max(span, float(s[job + END0]))
        total += s[job + END0]
    if is_same and (span > x[BEST_SPAN] or (span == x[BEST_SPAN] and total >= x[BEST_SUM])):
        return
    x[BEST_MAIN], x[BEST_SLIP], x[BEST_SPAN], x[BEST_SUM] = main, slip, span, total
    for r in range(s[RESOURCES], s[RESOURCES] + RESOURCE * s[RESOURCE_COUNT], RESOURCE):
        s[r + BEST_BIAS] = s[r + BIAS0]
    for i in range(s[LISTED]):
        s[s[BEST] + i] = s[s[LIST] + i]
    for job in range(first, last, JOB):
        s[job + BEST_PIN], s[job + BEST_MODE] = s[job + PIN0], s[job + MODE0]
        s[job + BEST_START], s[job + BEST_END] = s[job + START0], s[job + END0]


def late_order(s: Whole, x: Real) -> int:
    """An order with jobs to move, the likelier the later it is; -1 if none was found."""
    chosen, worst = -1, -1.0
    for _ in range(1 + below(s, 4)):
        order = s[ORDERS] + ORDER_SIZE * below(s, s[ORDER_COUNT])
        late = x[s[order + WEIGHT]] * max(0, s[order + END_NOW] - s[order + DUE])
        if s[order + MEMBERS_END] > s[order + MEMBERS] and late > worst:
            chosen, worst = order, late
    return chosen


def some_place(s: Whole, x: Real) -> int:
    """Where some job stands in the list, every other time one of a late order."""
    if s[ORDER_COUNT] > 0 and drawn(s) < 0.5:
        order = late_order(s, x)
        if order >= 0:
            first = s[order + MEMBERS]
            return s[s[first + below(s, s[order + MEMBERS_END] - first)] + AT]  # type: ignore[no-any-return]
    return below(s, s[LISTED])


def move_marked(s: Whole, by: int, behind: int, ahead: int) -> int:
    """Shifts all jobs that have the flag by so many places, but not past two places.

    Gives the first place changed.
    """
    n, scratch, kept, moved = s[LISTED], s[SCRATCH], 0, 0
    # The list is parted into what stays and what moves, and merged again by shifted places.
    for i in range(n):
        if s[s[s[LIST] + i] + FLAG]:
            s[scratch + n - 1 - moved] = i
            moved += 1
        else:
            s[scratch + kept] = i
            kept += 1
    a = b = 0
    first = n
    for i in range(n):
        takes_moved = b < moved
        if takes_moved and a < kept:
            new, old = s[scratch + n - 1 - b] + by, s[scratch + a]
            takes_moved = new < old or (new == old and by < 0)
            takes_moved = (takes_moved and old > behind) or old == ahead
        if takes_moved:
            source = s[scratch + n - 1 - b]
            b += 1
        else:
            source = s[scratch + a]
            a += 1
        s[s[TRIED] + i] = s[s[LIST] + source]
        if source != i and i < first:
            first = i
    return first  # type: ignore[no-any-return]


def shift_order(s: Whole, x: Real) -> int:
    """Shifts an order, or a run of its jobs, forward or back."""
    n, order = s[LISTED], late_order(s, x)
    if order < 0:
        return n  # type: ignore[no-any-return]
    a, b = s[order + MEMBERS], s[order + MEMBERS_END]
    by = far(s, n // 2 + 1)
    if drawn(s) < 0.75:
        by = -by
    low, high, behind, ahead = 0, n, -1, n
    if drawn(s) < 0.5:
        one, other = s[s[a + below(s, b - a)] + AT], s[s[a + below(s, b - a)] + AT]
        low, high = min(one, other), max(one, other) + 1
    for k in range(a, b):
        at = s[s[k] + AT]
        s[s[k] + FLAG] = 1 if low <= at < high else 0
        if at < low:
            behind = max(behind, at)
        elif at >= high:
            ahead = min(ahead, at)
    first = move_marked(s, by, behind, ahead)
    for k in range(a, b):
        s[s[k] + FLAG] = 0
    return first


def one_first(s: Whole, x: Real) -> int:
    """In a stretch of the list, puts the jobs of one order before those of another."""
    n, order = s[LISTED], late_order(s, x)
    other = s[ORDERS] + ORDER_SIZE * below(s, s[ORDER_COUNT])
    if order < 0 or order == other:
        return n  # type: ignore[no-any-return]
    low = below(s, n)
    high = min(n, low + far(s, n))
    scratch, count = s[SCRATCH], 0
    for chosen in (order, other):
        for i in range(s[LIST] + low, s[LIST] + high):
            if s[s[i] + ORDER] == chosen:
                s[scratch + count] = s[i]
                count += 1
    first, k = n, 0
    for i in range(low, high):
        belongs = s[s[s[LIST] + i] + ORDER]
        if belongs in (order, other):
            if s[s[TRIED] + i] != s[scratch + k] and i < first:
                first = i
            s[s[TRIED] + i] = s[scratch + k]
            k += 1
    return first  # type: ignore[no-any-return]


def shares(s: Whole, job: int, other: int) -> bool:
    """Whether two jobs use the same station or hand in the current plan."""
    mode, beside = s[job + MODE0], s[other + MODE0]
    for i in range(s[mode + USES], s[mode + USES_END]):
        for j in range(s[beside + USES], s[beside + USES_END]):
            if s[i] == s[j]:
                return True
    return False


def held_up(s: Whole, job: int, ready: int) -> int:
    """The job that leaves last what a job waits for once it is ready; -1 if it waits for none."""
    start, found, last = s[job + START0], -1, ready
    for i in range(s[LIST], s[LIST] + s[LISTED]):
        other = s[i]
        if last < s[other + END0] <= start and other != job and shares(s, job, other):
            found, last = other, s[other + END0]
    return found


def bring_forward(s: Whole, job: int, there: int) -> int:
    """Puts a job, with what must come before it, at a place further on in the list."""
    here, scratch, moved, kept = s[job + AT], s[SCRATCH], 0, 0
    s[job + FLAG] = 1
    for at in range(here, there - 1, -1):
        other = s[s[LIST] + at]
        for i in range(s[other + AFTER], s[other + AFTER_END]):
            if s[s[i] + FLAG]:
                s[other + FLAG] = 1
        moved += s[other + FLAG]
    to = s[TRIED] + there
    for at in range(there, here + 1):
        other = s[s[LIST] + at]
        if s[other + FLAG]:
            s[to + at - there - kept] = other
        else:
            s[scratch + kept] = other
            kept += 1
        s[other + FLAG] = 0
    for i in range(kept):
        s[to + moved + i] = s[scratch + i]
    return there


def make_way(s: Whole, x: Real) -> int:
    """Lets one of the jobs that a late order hangs on go before the one that it waits for."""
    n, order = s[LISTED], late_order(s, x)
    if order < 0 or s[order + LEVELS] == 0:
        return n  # type: ignore[no-any-return]
    level, job, worst = max(0, s[order + LEVEL_NOW] - 1), -1, -LATEST
    for i in range(s[order + MEMBERS], s[order + MEMBERS_END]):
        slip = s[s[i] + END0] - s[s[s[i] + LIMITS] + level]
        if slip > worst:
            job, worst = s[i], slip
    while job >= 0 and not s[job + FIXED]:
        ready, earlier = s[job + RELEASE], -1
        for i in range(s[job + BEFORE], s[job + BEFORE_END]):
            end = s[s[i] + END0] + s[job + LAG]
            if end > ready:
                ready, earlier = end, s[i]
        if drawn(s) < 0.5:
            other = held_up(s, job, ready)
            if other >= 0 and s[other + AT] < s[job + AT]:
                return bring_forward(s, job, s[other + AT])
        job = earlier
    return n  # type: ignore[no-any-return]


def find(s: Whole, job: int, default: int) -> int:
    """Where a job stands in the list that is tried, if near to where it stood."""
    at = s[job + AT]
    for d in range(8):
        if at - d >= 0 and s[s[TRIED] + at - d] == job:
            return at - d  # type: ignore[no-any-return]
        if at + d < s[LISTED] and s[s[TRIED] + at + d] == job:
            return at + d  # type: ignore[no-any-return]
    return default


def shift_job(s: Whole, x: Real) -> int:
    """Shifts one job between what comes before and after it in the list."""
    n, tried, here = s[LISTED], s[TRIED], some_place(s, x)
    job = s[tried + here]
    low, high = 0, n - 1
    for i in range(s[job + BEFORE], s[job + BEFORE_END]):
        if not s[s[i] + FIXED]:
            low = max(low, find(s, s[i], -1) + 1)
    for i in range(s[job + AFTER], s[job + AFTER_END]):
        if not s[s[i] + FIXED]:
            high = min(high, find(s, s[i], n) - 1)
    if low > high:
        return n  # type: ignore[no-any-return]
    by = far(s, 60)
    there = here - by if drawn(s) < 0.5 else here + by
    there = max(low, min(high, there))
    step = 1 if there > here else -1
    for i in range(tried + here, tried + there, step):
        s[i] = s[i + step]
    s[tried + there] = job
    return min(here, there) if here != there else n  # type: ignore[no-any-return]


def change_staff(s: Whole, x: Real) -> int:
    """Ties a job to one of its modes, or lets it choose again."""
    here = some_place(s, x)
    job = s[s[LIST] + here]
    count = (s[job + MODES_END] - s[job + MODES]) // MODE
    is_told = s[job + TOLD_MODE] >= 0
    if count < 2 and not is_told:
        return s[LISTED]  # type: ignore[no-any-return]
    if s[job + PIN0] != ANY and drawn(s) < 0.6:
        s[job + PIN1] = ANY
    elif is_told and s[job + PIN0] != ANEW and drawn(s) < 0.5:
        s[job + PIN1] = ANEW
    else:
        s[job + PIN1] = s[job + MODES] + MODE * below(s, count)
        if s[job + PIN1] == s[job + PIN0]:
            return s[LISTED]  # type: ignore[no-any-return]
    return here


def change_hours(s: Whole, x: Real) -> int:
    """Lets a job and a few behind it, mostly of the same order, work overtime, or no more."""
    n, here = s[LISTED], some_place(s, x)
    order, first = s[s[s[LIST] + here] + ORDER], n
    pin = ANY if s[s[s[LIST] + here] + PIN0] == LONGER else LONGER
    left, only_order = far(s, 12), drawn(s) < 0.7
    for i in range(here, n):
        job = s[s[LIST] + i]
        if only_order and s[job + ORDER] != order:
            continue
        if s[job + LONG_END] > s[job + MODES_END] and s[job + PIN0] != pin:
            s[job + PIN1] = pin
            first = min(first, i)
        left -= 1
        if left <= 0:
            break
    return first  # type: ignore[no-any-return]


def loosen(s: Whole) -> int:
    """Lets a run of jobs choose their modes again."""
    n = s[LISTED]
    here, first = below(s, n), n
    for i in range(here, min(n, here + far(s, 40))):
        job = s[s[LIST] + i]
        if s[job + PIN0] != ANY:
            s[job + PIN1] = ANY
            first = min(first, i)
    return first  # type: ignore[no-any-return]


def change_bias(s: Whole) -> int:
    """Makes a station, a hand or gear dearer or cheaper to choose, all along the list."""
    r = s[RESOURCES] + RESOURCE * below(s, s[RESOURCE_COUNT])
    by = far(s, MOST_BIAS)
    if drawn(s) < 0.5:
        by = -by
    s[r + BIAS1] = max(0, s[r + BIAS0] + by)
    return s[LISTED] if s[r + BIAS1] == s[r + BIAS0] else 0


def neighbour(s: Whole, x: Real) -> int:
    """Changes the list that is tried; gives its first changed place, or its length for none."""
    if s[HAS_LONG] and drawn(s) < 0.2:
        return change_hours(s, x)
    if x[SLIP_PRICE] > 0 and drawn(s) < 0.2:
        return make_way(s, x)
    kind = drawn(s)
    if s[ORDER_COUNT] == 0:
        kind = 0.5 + kind / 2
    if kind < 0.40:
        return shift_order(s, x)
    if s[ORDER_COUNT] > 1 and kind < 0.50:
        return one_first(s, x)
    if kind < 0.53:
        return change_bias(s)
    if kind < 0.62:
        return change_staff(s, x)
    if kind < 0.66:
        return loosen(s)
    first = s[LISTED]
    for _ in range(1 + below(s, 3)):
        first = min(first, shift_job(s, x))
    return first  # type: ignore[no-any-return]


def begin(s: Whole, x: Real) -> None:
    """Plans the current list with the modes it is tied to; fixed jobs stand in their places."""
    for r in range(s[RESOURCES], s[RESOURCES] + RESOURCE * s[RESOURCE_COUNT], RESOURCE):
        s[r + STEP_COUNT], s[r + ROW_COUNT] = 1, 0
        s[s[r + STEPS] + TICK], s[s[r + STEPS] + LEVEL] = 0, 0
    for o in range(s[ORDERS], s[ORDERS] + ORDER_SIZE * s[ORDER_COUNT], ORDER_SIZE):
        s[o + END_TRIED], s[o + START_TRIED], s[o + LEVEL_TRIED] = 0, s[o + BEGUN], 0
    s[SPAN_TRIED], x[TRYING], x[NOW], x[SLIP_NOW] = 0, 0.0, NEVER, 0.0
    first, last = s[JOBS], s[JOBS] + JOB * s[JOB_COUNT]
    for job in range(first, last, JOB):
        s[job + PIN1], s[job + START1], s[job + END1] = (
            s[job + PIN0],
            s[job + START0],
            s[job + END0],
        )
    for job in range(first, last, JOB):
        if s[job + FIXED]:
            put(s, job, s[job + MODE0], s[job + START0], s[job + END0], s[job + USED0])
            count_in(s, x, job)
        if s[job + FIXED] == 2 and s[job + START0] > 0:
            mode = s[job + MODE0]
            for use in range(s[mode + USES], s[mode + USES_END]):
                if s[s[use] + CAPACITY] == 1:
                    book(s, s[use], 0, s[job + START0], 1)
    for k in range(s[BANKS], s[BANKS] + (s[LISTED] - 1) // s[EVERY] + 1):
        s[k] = 0
    save(s, x, 0, 0)
    for i in range(s[LISTED]):
        s[s[TRIED] + i] = s[s[LIST] + i]
    if decode(s, x, 0, NEVER):
        accept(s, x, 0)
        if x[NOW] < MISSED_PIN:
            keep_best(s, x)


def is_kept(s: Whole, job: int) -> bool:
    """Puts a job where people were told, or on the wall clock alone; False if it cannot be there."""
    tick = ready_at(s, job)
    if tick < 0:
        return False
    if s[job + TOLD_START] >= 0:
        return s[job + TOLD_START] >= tick and as_told(s, job)
    first = s[job + MODES]
    return s[first + USES] == s[first + USES_END] and place(s, job)


def flag_kept(s: Whole, x: Real) -> None:
    """Flags what can be where people were told, each in its turn in the current list.

    Only after `begin`; the plan that is tried is lost.
    """
    load(s, x, 0)
    for i in range(s[LISTED]):
        s[s[s[LIST] + i] + END1] = -1
    for i in range(s[LISTED]):
        job = s[s[LIST] + i]
        s[job + FLAG] = 1 if is_kept(s, job) else 0


def follow(s: Whole, best: Whole) -> None:
    """Takes over the list and the modes that another search found best."""
    for i in range(s[LISTED]):
        s[s[LIST] + i] = best[s[BEST] + i]
    for job in range(s[JOBS], s[JOBS] + JOB * s[JOB_COUNT], JOB):
        s[job + PIN0] = best[job + BEST_PIN]
    for r in range(s[RESOURCES], s[RESOURCES] + RESOURCE * s[RESOURCE_COUNT], RESOURCE):
        s[r + BIAS0] = s[r + BIAS1] = best[r + BEST_BIAS]


def anneal(s: Whole, x: Real, tries: int, hot: float, cold: float) -> None:
    """So many tries from the current list, the heat falling evenly from `hot` to `cold`."""
    if s[LISTED] == 0:
        return
    for k in range(tries):
        heat = hot + (cold - hot) * k / tries
        changed = neighbour(s, x)
        if changed >= s[LISTED]:
            continue
        limit = x[NOW] - heat * log(max(drawn(s), 1e-12)) + 1e-9
        if limit < NEVER and decode(s, x, changed, limit):
            is_better = x[TRYING] < x[NOW] or x[TRYING] - x[SLIP_TRYING] < x[NOW] - x[SLIP_NOW]
            accept(s, x, changed)
            if is_better and x[NOW] < MISSED_PIN:
                keep_best(s, x)
        else:
            undo(s, changed)
