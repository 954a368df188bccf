"""The inner loop of the search for a short makespan: changes along the critical path.

Written over one list of whole numbers, so that the same lines run as they stand or compiled
(`compiled`); nothing is imported from elsewhere in the room. A job and a mode are the places where
their records begin in the store `s`: `s[job + WORK]` is the work of a job in the mode it is in.

The plan is a row of jobs per station, and every job starts as soon as those before it allow. What
is kept for each job is its start and its tail, the longest way from its end to that of the plan;
jobs with start + work + tail equal to the makespan are critical. A try takes one critical path and
looks at two kinds of change: a job of a block (critical jobs next to each other on a station) goes
behind the last or before the first of them, or the first or the last goes inside; or a job of the
path goes to another station, anywhere in its row. The change with the shortest way through the jobs
it moves is made, better or not, and what it undid may not come back for a while. When that no
longer leads anywhere, the plan joins the pool of good ones, and the next climb begins between two
of them.

Sources: blocks and what may be moved, Balas and Vazacopoulos, Management Science 44 (1998), and
Zhang, Li, Guan and Rao, Computers & Operations Research 34 (2007); other stations, Mastrolilli and
Gambardella, Journal of Scheduling 3 (2000); what is forbidden, for how long, and going on between
two good plans, Peng, Lü and Cheng, Computers & Operations Research 53 (2015). There a job has one
before it and one behind; here any number, and the start between two plans is a weighted mean of
their start times, which keeps every precedence.
"""

from typing import Any

Whole = Any

NONE = -1
FAR = 2**30

# The head of the store.
JOBS, JOB_COUNT, ROWS, ROW_COUNT, ENDS, ENDS_END = range(6)
ORDER, PATH, SCRATCH, BANNED, POOL, POOLED = range(6, 12)
RANDOM, TRY, STAMP, SPAN, CLIMB_SPAN, CLIMB_TRY = range(12, 18)
BEST_SPAN, BUILT, CLIMBS = range(18, 21)
CHOICE, CHOICE_JOB, CHOICE_MODE, CHOICE_LEFT, CHOICE_TIES = range(21, 26)
ANY_JOB, ANY_MODE, ANY_LEFT, ANY_COUNT, PATIENCE, STAY = range(26, 32)
HEAD = 32

# A job. BEHIND is its end, REACH the way from its start to the end of the plan. READY and REST are
# start and tail by the jobs before and after it alone, LEFT and RIGHT its neighbours in the row.
MODES, MODES_END, BEFORE, BEFORE_END, AFTER, AFTER_END, LAG, RELEASE, SALT = range(9)
MODE, STATION, WORK, LEFT, RIGHT, PLACE, AT = range(9, 16)
START, END, READY, TAIL, REACH, REST, MARK, KEY = range(16, 24)
CLIMB_MODE, CLIMB_START, BEST_MODE, BEST_START = range(24, 28)
JOB = 28

# A way to do a job: on which row, for how long. A row that is NONE takes any number at a time.
ROW, LENGTH = range(2)
WAY = 2

# A row: its first job.
FIRST = 0
ROW_SIZE = 1

# A plan of the pool: its makespan, a sum that tells it from others, then mode and start per job.
POOL_SPAN, POOL_SUM, POOL_PLAN = range(3)
MOST_POOLED = 12
BANS = 32749
"""Room for what is forbidden, by a sum over the jobs that it concerns; a prime."""


def below(s: Whole, n: int) -> int:
    """A random whole number from 0 to n - 1. Source: Park and Miller, CACM 31 (1988)."""
    s[RANDOM] = (s[RANDOM] * 48271) % 2147483647
    return (s[RANDOM] >> 4) % n  # type: ignore[no-any-return]


def starts_from(s: Whole, at: int) -> None:
    """Reckons the starts of the jobs from a place in the working order on, and the makespan."""
    order = s[ORDER]
    for i in range(order + at, order + s[JOB_COUNT]):
        job = s[i]
        ready, lag = s[job + RELEASE], s[job + LAG]
        for k in range(s[job + BEFORE], s[job + BEFORE_END]):
            ready = max(ready, s[s[k] + END] + lag)
        s[job + READY] = ready
        left = s[job + LEFT]
        if left >= 0:
            ready = max(ready, s[left + END])
        s[job + START] = ready
        s[job + END] = ready + s[job + WORK]
    span = 0
    for i in range(s[ENDS], s[ENDS_END]):
        span = max(span, s[s[i] + END])
    s[SPAN] = span


def tails_from(s: Whole, at: int) -> None:
    """Reckons the tails of the jobs from a place in the working order back to its begin."""
    order = s[ORDER]
    for i in range(order + at, order - 1, -1):
        job = s[i]
        rest = 0
        for k in range(s[job + AFTER], s[job + AFTER_END]):
            rest = max(rest, s[s[k] + LAG] + s[s[k] + REACH])
        s[job + REST] = rest
        right = s[job + RIGHT]
        if right >= 0:
            rest = max(rest, s[right + REACH])
        s[job + TAIL] = rest
        s[job + REACH] = rest + s[job + WORK]


def lay(s: Whole) -> None:
    """Makes the rows anew: every job in its mode, in the order of the keys."""
    n, order = s[JOB_COUNT], s[ORDER]
    gap = n // 2
    while gap > 0:
        for i in range(gap, n):
            job, j = s[order + i], i
            while j >= gap and s[s[order + j - gap] + KEY] > s[job + KEY]:
                s[order + j] = s[order + j - gap]
                j -= gap
            s[order + j] = job
        gap //= 2
    for row in range(s[ROWS], s[ROWS] + s[ROW_COUNT] * ROW_SIZE, ROW_SIZE):
        s[row + FIRST] = NONE
    # While the rows are made, TAIL of their first job says which is the last.
    for i in range(n):
        job = s[order + i]
        mode = s[job + MODE]
        row = s[mode + ROW]
        s[job + AT], s[job + STATION], s[job + WORK] = i, row, s[mode + LENGTH]
        s[job + LEFT], s[job + RIGHT], s[job + PLACE] = NONE, NONE, 0
        if row >= 0:
            first = s[row + FIRST]
            if first < 0:
                s[row + FIRST] = job
                s[job + TAIL] = job
            else:
                last = s[first + TAIL]
                s[last + RIGHT], s[job + LEFT] = job, last
                s[job + PLACE] = s[last + PLACE] + 1
                s[first + TAIL] = job
    starts_from(s, 0)
    tails_from(s, n - 1)


def transfer(s: Whole, job: int, mode: int, left: int) -> None:
    """Takes a job out of its row and puts it behind another, or first, in the row of a mode."""
    old_left, old_right = s[job + LEFT], s[job + RIGHT]
    if old_left >= 0:
        s[old_left + RIGHT] = old_right
    elif s[job + STATION] >= 0:
        s[s[job + STATION] + FIRST] = old_right
    if old_right >= 0:
        s[old_right + LEFT] = old_left
    row = s[mode + ROW]
    s[job + MODE], s[job + STATION], s[job + WORK] = mode, row, s[mode + LENGTH]
    right = NONE
    if left >= 0:
        right = s[left + RIGHT]
        s[left + RIGHT] = job
    elif row >= 0:
        right = s[row + FIRST]
        s[row + FIRST] = job
    s[job + LEFT], s[job + RIGHT] = left, right
    if right >= 0:
        s[right + LEFT] = job
    for first in (old_right, job):
        here = first
        while here >= 0:
            place = s[s[here + LEFT] + PLACE] + 1 if s[here + LEFT] >= 0 else 0
            if s[here + PLACE] == place and here != job:
                break
            s[here + PLACE] = place
            here = s[here + RIGHT]


def mend(s: Whole, job: int, other: int, step: int) -> bool:
    """Mends the working order of a job that now goes behind another, or before it (step -1).

    Whatever must go with the job moves past the other with it; False if that is the other itself.
    """
    side, listed = (LEFT, BEFORE) if step > 0 else (RIGHT, AFTER)
    order, here, there = s[ORDER], s[job + AT], s[other + AT]
    s[STAMP] += 1
    stamp, held, scratch = s[STAMP], 1, s[SCRATCH]
    s[job + MARK] = stamp
    s[scratch] = job
    for i in range(here + step, there + step, step):
        next_one = s[order + i]
        goes_too = s[next_one + side] >= 0 and s[s[next_one + side] + MARK] == stamp
        k = s[next_one + listed]
        while not goes_too and k < s[next_one + listed + 1]:
            goes_too = s[s[k] + MARK] == stamp
            k += 1
        if goes_too:
            if next_one == other:
                return False
            s[next_one + MARK] = stamp
            s[scratch + held] = next_one
            held += 1
    put = here
    for i in range(here, there + step, step):
        next_one = s[order + i]
        if s[next_one + MARK] != stamp:
            s[order + put], s[next_one + AT] = next_one, put
            put += step
    for i in range(held):
        next_one = s[scratch + i]
        s[order + put], s[next_one + AT] = next_one, put
        put += step
    return True


def change(s: Whole, job: int, mode: int, left: int) -> bool:
    """Puts a job elsewhere and reckons the plan again; False, and nothing done, for a circle."""
    old_mode, old_left, here = s[job + MODE], s[job + LEFT], s[job + AT]
    transfer(s, job, mode, left)
    right = s[job + RIGHT]
    first = last = here
    if left >= 0 and s[left + AT] > here:
        last = s[left + AT]
        done = mend(s, job, left, 1)
    elif right >= 0 and s[right + AT] < here:
        first = s[right + AT]
        done = mend(s, job, right, -1)
    else:
        done = True
    if not done:
        transfer(s, job, old_mode, old_left)
        return False
    starts_from(s, first)
    tails_from(s, last)
    return True


def critical_path(s: Whole) -> int:
    """Lists the jobs of one critical path, picked by chance, at the end of the room for it.

    Gives where the first of them stands.
    """
    at = s[PATH] + s[JOB_COUNT]
    job, count = NONE, 0
    for i in range(s[ENDS], s[ENDS_END]):
        if s[s[i] + END] == s[SPAN]:
            count += 1
            if below(s, count) == 0:
                job = s[i]
    while job >= 0:
        at -= 1
        s[at] = job
        chosen, count, start = NONE, 0, s[job + START]
        left = s[job + LEFT]
        if left >= 0 and s[left + END] == start:
            chosen, count = left, 1
        for k in range(s[job + BEFORE], s[job + BEFORE_END]):
            earlier = s[k]
            if s[earlier + END] + s[job + LAG] == start:
                count += 1
                if below(s, count) == 0:
                    chosen = earlier
        job = chosen
    return at  # type: ignore[no-any-return]


def pair_of(s: Whole, one: int, other: int) -> int:
    """Where it is noted until when the one may not go before the other, or a job in a mode."""
    return (s[one + SALT] * 31 + other) % BANS  # type: ignore[no-any-return]


def offer(s: Whole, worth: int, banned: bool, job: int, mode: int, left: int) -> None:
    """Keeps the best change that is not forbidden; a forbidden one only for want of others."""
    if banned and worth >= s[CLIMB_SPAN]:
        s[ANY_COUNT] += 1
        if below(s, s[ANY_COUNT]) == 0:
            s[ANY_JOB], s[ANY_MODE], s[ANY_LEFT] = job, mode, left
        return
    if worth > s[CHOICE]:
        return
    if worth < s[CHOICE]:
        s[CHOICE], s[CHOICE_TIES] = worth, 0
    s[CHOICE_TIES] += 1
    if s[CHOICE_TIES] == 1 or below(s, s[CHOICE_TIES]) == 0:
        s[CHOICE_JOB], s[CHOICE_MODE], s[CHOICE_LEFT] = job, mode, left


def offer_shift(s: Whole, first: int, last: int, forward: bool) -> None:
    """Offers to put the first of a run behind the last of it, or the last before the first.

    Its worth is the longest way through the run, by the starts and tails of what is around it. It
    is forbidden if every pair of jobs that it would turn is.
    """
    if forward:
        for k in range(s[first + AFTER], s[first + AFTER_END]):
            later = s[k]
            if later == last or (
                s[last + REACH] < s[later + REACH] and s[later + END] <= s[last + START]
            ):
                return
    else:
        for k in range(s[last + BEFORE], s[last + BEFORE_END]):
            earlier = s[k]
            if earlier == first or (
                s[first + END] < s[earlier + END] and s[earlier + REACH] <= s[first + TAIL]
            ):
                return
    scratch, count = s[SCRATCH], s[last + PLACE] - s[first + PLACE] + 1
    moved, banned = first if forward else last, True
    end = s[s[first + LEFT] + END] if s[first + LEFT] >= 0 else 0
    job = s[first + RIGHT] if forward else last
    for i in range(count):
        end = max(end, s[job + READY]) + s[job + WORK]
        s[scratch + 2 * i], s[scratch + 2 * i + 1] = job, end
        if job != moved:
            pair = pair_of(s, job, moved) if forward else pair_of(s, moved, job)
            banned = banned and s[s[BANNED] + pair] > s[TRY]
        job = first if job == last else s[job + RIGHT]
    reach = s[s[last + RIGHT] + REACH] if s[last + RIGHT] >= 0 else 0
    worth = 0
    for i in range(count - 1, -1, -1):
        job = s[scratch + 2 * i]
        tail = max(reach, s[job + REST])
        worth = max(worth, s[scratch + 2 * i + 1] + tail)
        reach = tail + s[job + WORK]
    if forward:
        offer(s, worth, banned, first, s[first + MODE], last)
    else:
        offer(s, worth, banned, last, s[last + MODE], s[first + LEFT])


def offer_block(s: Whole, first: int, last: int, length: int) -> None:
    """Offers what may be done within a block of critical jobs."""
    opens = s[first + START] == 0
    closes = s[last + TAIL] == 0
    if length == 2:
        if not (opens and closes):
            offer_shift(s, first, last, True)
        return
    job = first
    while job != last:
        if not closes:
            offer_shift(s, job, last, True)
        if job != first and not opens:
            offer_shift(s, first, job, True)
        later = s[job + RIGHT]
        if not opens:
            offer_shift(s, first, later, False)
        if job != first and not closes:
            offer_shift(s, job, last, False)
        job = later


def offer_stations(s: Whole, job: int) -> None:
    """Offers every place on every other station on which a job could be done."""
    ready, rest = s[job + READY], s[job + REST]
    reach, end = s[job + REACH], s[job + END]
    for mode in range(s[job + MODES], s[job + MODES_END], WAY):
        if mode == s[job + MODE]:
            continue
        row, work = s[mode + ROW], s[mode + LENGTH]
        banned = s[s[BANNED] + pair_of(s, job, mode)] > s[TRY]
        if row < 0:
            offer(s, ready + work + rest, banned, job, mode, NONE)
            continue
        left, right = NONE, s[row + FIRST]
        while True:
            # No way may lead from the right neighbour to the job, nor from the job to the left one.
            if right < 0 or s[right + END] > ready or s[right + TAIL] < reach:
                begin = ready if left < 0 else max(ready, s[left + END])
                tail = rest if right < 0 else max(rest, s[right + REACH])
                offer(s, begin + work + tail, banned, job, mode, left)
            if right < 0 or (s[right + REACH] <= rest and s[right + START] >= end):
                break
            left, right = right, s[right + RIGHT]


def forbid(s: Whole, job: int, mode: int, left: int) -> None:
    """Forbids for a while that a job comes back to its station, or to its side of those it passes."""
    if mode != s[job + MODE]:
        stay = s[STAY] // 2
        s[s[BANNED] + pair_of(s, job, s[job + MODE])] = s[TRY] + stay + below(s, stay // 2 + 1)
        return
    until = s[TRY] + s[STAY] + below(s, s[STAY] // 2 + 1)
    if left >= 0 and s[left + PLACE] > s[job + PLACE]:
        other = job
        while other != left:
            other = s[other + RIGHT]
            s[s[BANNED] + pair_of(s, job, other)] = until
    else:
        other = job
        while s[other + LEFT] != left:
            other = s[other + LEFT]
            s[s[BANNED] + pair_of(s, other, job)] = until


def step(s: Whole) -> bool:
    """One try: the best change along one critical path; False if there is none."""
    s[TRY] += 1
    s[CHOICE], s[CHOICE_TIES], s[ANY_COUNT] = FAR, 0, 0
    i, end = critical_path(s), s[PATH] + s[JOB_COUNT]
    while i < end:
        j = i
        # Where a lag lies between two neighbours, a block ends.
        while j + 1 < end and s[s[j] + RIGHT] == s[j + 1] and s[s[j] + END] == s[s[j + 1] + START]:
            j += 1
        if j > i:
            offer_block(s, s[i], s[j], j - i + 1)
        for k in range(i, j + 1):
            if s[s[k] + MODES_END] - s[s[k] + MODES] > WAY:
                offer_stations(s, s[k])
        i = j + 1
    if s[CHOICE] < FAR:
        job, mode, left = s[CHOICE_JOB], s[CHOICE_MODE], s[CHOICE_LEFT]
    elif s[ANY_COUNT] > 0:
        job, mode, left = s[ANY_JOB], s[ANY_MODE], s[ANY_LEFT]
    else:
        return False
    forbid(s, job, mode, left)
    change(s, job, mode, left)
    if s[SPAN] < s[CLIMB_SPAN]:
        keep(s)
    return True


def keep(s: Whole) -> None:
    """Notes the plan as the best of the climb, and of all if it is."""
    s[CLIMB_SPAN], s[CLIMB_TRY] = s[SPAN], s[TRY]
    is_best = s[SPAN] < s[BEST_SPAN]
    if is_best:
        s[BEST_SPAN] = s[SPAN]
    for job in range(s[JOBS], s[JOBS] + JOB * s[JOB_COUNT], JOB):
        s[job + CLIMB_MODE], s[job + CLIMB_START] = s[job + MODE], s[job + START]
        if is_best:
            s[job + BEST_MODE], s[job + BEST_START] = s[job + MODE], s[job + START]


def pool_in(s: Whole) -> None:
    """Puts the best plan of the climb in the pool, in place of the worst, if it is not there."""
    size = POOL_PLAN + 2 * s[JOB_COUNT]
    told_apart = 0
    for job in range(s[JOBS], s[JOBS] + JOB * s[JOB_COUNT], JOB):
        told_apart += s[job + SALT] * (s[job + CLIMB_START] % 65536)
        told_apart = (told_apart + s[job + CLIMB_MODE]) % 2147483647
    worst, into = -1, s[POOL]
    for plan in range(s[POOL], s[POOL] + size * s[POOLED], size):
        if s[plan + POOL_SUM] == told_apart:
            return
        if s[plan + POOL_SPAN] >= worst:
            worst, into = s[plan + POOL_SPAN], plan
    if s[POOLED] < MOST_POOLED:
        into = s[POOL] + size * s[POOLED]
        s[POOLED] += 1
    elif s[CLIMB_SPAN] > worst:
        return
    s[into + POOL_SPAN], s[into + POOL_SUM] = s[CLIMB_SPAN], told_apart
    at = into + POOL_PLAN
    for job in range(s[JOBS], s[JOBS] + JOB * s[JOB_COUNT], JOB):
        s[at], s[at + 1] = s[job + CLIMB_MODE], s[job + CLIMB_START]
        at += 2


def build(s: Whole) -> None:
    """Starts a climb from jobs in a random order, each where it then ends soonest."""
    n, order = s[JOB_COUNT], s[ORDER]
    for row in range(s[ROWS], s[ROWS] + s[ROW_COUNT] * ROW_SIZE, ROW_SIZE):
        s[row + FIRST] = 0
    for job in range(s[JOBS], s[JOBS] + JOB * n, JOB):
        s[job + MARK] = s[job + BEFORE_END] - s[job + BEFORE]
    waiting, count = s[SCRATCH], 0
    for job in range(s[JOBS], s[JOBS] + JOB * n, JOB):
        if s[job + MARK] == 0:
            s[waiting + count] = job
            count += 1
    done = 0
    while count > 0:
        pick = waiting + below(s, count)
        job = s[pick]
        count -= 1
        s[pick] = s[waiting + count]
        ready = s[job + RELEASE]
        for k in range(s[job + BEFORE], s[job + BEFORE_END]):
            ready = max(ready, s[s[k] + END] + s[job + LAG])
        soonest, ties = FAR, 0
        for mode in range(s[job + MODES], s[job + MODES_END], WAY):
            row = s[mode + ROW]
            end = (max(ready, s[row + FIRST]) if row >= 0 else ready) + s[mode + LENGTH]
            if end < soonest:
                soonest, ties = end, 0
            if end == soonest:
                ties += 1
                if below(s, ties) == 0:
                    s[job + MODE] = mode
        s[job + END] = soonest
        if s[s[job + MODE] + ROW] >= 0:
            s[s[s[job + MODE] + ROW] + FIRST] = soonest
        s[order + done] = job
        s[job + KEY] = done
        done += 1
        for k in range(s[job + AFTER], s[job + AFTER_END]):
            later = s[k]
            s[later + MARK] -= 1
            if s[later + MARK] == 0:
                s[waiting + count] = later
                count += 1
    for job in range(s[JOBS], s[JOBS] + JOB * n, JOB):
        s[job + MARK] = 0


def cross(s: Whole) -> None:
    """Starts a climb somewhere between two plans of the pool."""
    size = POOL_PLAN + 2 * s[JOB_COUNT]
    one = below(s, s[POOLED])
    other = (one + 1 + below(s, s[POOLED] - 1)) % s[POOLED]
    at, to = s[POOL] + size * one + POOL_PLAN, s[POOL] + size * other + POOL_PLAN
    share = 20 + below(s, 31)
    for job in range(s[JOBS], s[JOBS] + JOB * s[JOB_COUNT], JOB):
        s[job + KEY] = (100 - share) * s[at + 1] + share * s[to + 1]
        s[job + MODE] = s[to] if below(s, 100) < share else s[at]
        at += 2
        to += 2


def begin(s: Whole) -> None:
    """Lays the plan of the modes and the keys, and starts the first climb from there."""
    lay(s)
    s[CLIMB_SPAN], s[CLIMB_TRY] = FAR, s[TRY]
    s[BEST_SPAN] = FAR
    keep(s)


def go_on(s: Whole) -> None:
    """Ends a climb and begins the next."""
    pool_in(s)
    s[CLIMBS] += 1
    if s[POOLED] < 2 or s[CLIMBS] < s[BUILT]:
        build(s)
    else:
        cross(s)
    lay(s)
    s[CLIMB_SPAN] = FAR
    keep(s)


def climb(s: Whole, tries: int) -> None:
    """So many tries, on from where the last ended."""
    for _ in range(tries):
        if not step(s) or s[TRY] - s[CLIMB_TRY] > s[PATIENCE]:
            go_on(s)


def learn(s: Whole, other: Whole) -> None:
    """Takes the best plan of another search into the pool."""
    if other[BEST_SPAN] >= FAR:
        return
    span = s[CLIMB_SPAN]
    at = s[SCRATCH]
    for job in range(s[JOBS], s[JOBS] + JOB * s[JOB_COUNT], JOB):
        s[at], s[at + 1] = s[job + CLIMB_MODE], s[job + CLIMB_START]
        s[job + CLIMB_MODE], s[job + CLIMB_START] = other[job + BEST_MODE], other[job + BEST_START]
        at += 2
    s[CLIMB_SPAN] = other[BEST_SPAN]
    pool_in(s)
    s[CLIMB_SPAN] = span
    at = s[SCRATCH]
    for job in range(s[JOBS], s[JOBS] + JOB * s[JOB_COUNT], JOB):
        s[job + CLIMB_MODE], s[job + CLIMB_START] = s[at], s[at + 1]
        at += 2
