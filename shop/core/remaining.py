"""What is left of an operation that has been begun."""

LEAST_SHARE = 0.1
LEAST_MIN = 1.0


def rest_min(
    *,
    setup_min: float,
    each_min: float,
    pieces: int,
    pieces_done: int,
    used_min: float = 0.0,
    uncounted_min: float = 0.0,
) -> float:
    """Standard minutes still to come: the pieces left, and the set-up if nothing was begun.

    `used_min` are all minutes clocked so far; `uncounted_min` those of them that no finished
    piece has been counted for yet. They go off the rest, but never below a tenth of it: who is
    slower than the standard is not done by the clock alone.
    """
    rest = each_min * (pieces - pieces_done)
    if used_min <= 0:
        rest += setup_min
    elif pieces_done == 0:
        rest = max(rest + setup_min - uncounted_min, rest * LEAST_SHARE)
    else:
        rest = max(rest - uncounted_min, rest * LEAST_SHARE)
    return max(rest, LEAST_MIN)
