"""Ticks and working time: one axis into the other and back."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from shop.core.plan.hours import Hours, Ticks

NOW = datetime(2026, 1, 5, 7, 0, tzinfo=UTC)
spans = st.lists(st.integers(1, 30), min_size=2, max_size=12).map(
    lambda gaps: [(sum(gaps[: i + 1]), sum(gaps[: i + 2])) for i in range(0, len(gaps) - 1, 2)]
)


def open_ticks(hours: Hours) -> list[int]:
    return [t for a, b in zip(hours.starts, hours.ends, strict=True) for t in range(a, b)]


@given(spans, st.integers(0, 200), st.integers(1, 60))
def test_breakable_work_takes_the_next_open_ticks(
    pairs: list[tuple[int, int]], tick: int, work: int
) -> None:
    hours = Hours.of(pairs)
    ahead = [t for t in open_ticks(hours) if t >= tick]
    expected = (ahead[0], ahead[work - 1] + 1) if len(ahead) >= work else None
    assert hours.fit(tick, work, True) == expected


@given(spans, st.integers(0, 200), st.integers(1, 60))
def test_unbreakable_work_takes_the_first_run_of_open_ticks(
    pairs: list[tuple[int, int]], tick: int, work: int
) -> None:
    hours = Hours.of(pairs)
    ahead = set(open_ticks(hours))
    starts = (s for s in range(tick, 400) if ahead.issuperset(range(s, s + work)))
    start = next(starts, None)
    assert hours.fit(tick, work, False) == (None if start is None else (start, start + work))


@given(spans, spans)
def test_common_hours_are_those_in_which_both_are_open(
    one: list[tuple[int, int]], other: list[tuple[int, int]]
) -> None:
    a, b = Hours.of(one), Hours.of(other)
    assert open_ticks(a.both(b)) == sorted(set(open_ticks(a)) & set(open_ticks(b)))


@given(spans, st.integers(0, 200), st.integers(1, 60))
def test_pieces_add_up_to_the_work(pairs: list[tuple[int, int]], tick: int, work: int) -> None:
    hours = Hours.of(pairs)
    fit = hours.fit(tick, work, True)
    if fit is not None:
        pieces = hours.pieces(*fit)
        assert sum(b - a for a, b in pieces) == work
        assert (pieces[0][0], pieces[-1][1]) == fit


def test_a_tick_covers_a_broken_minute() -> None:
    ticks = Ticks(NOW + timedelta(seconds=20), 5)
    assert ticks.at(0) == NOW + timedelta(minutes=1)
    assert ticks.lasting(10.1) == 3
    assert ticks.up(NOW + timedelta(minutes=2)) == 1
    assert ticks.down(NOW + timedelta(minutes=2)) == 0
