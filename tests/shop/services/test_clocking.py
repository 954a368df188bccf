"""Starting, pausing, finishing and correcting work."""

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest

from orders.core.errors import NotNow, RuleBroken, Stale
from orders.core.stages import Stage
from orders.models import Operation
from shop.models import Clocking, ClockingCorrection
from shop.services.clocking import correct, finish, pause, start
from tests.builders import (
    a_commission,
    a_hand,
    a_member,
    a_station,
    a_workshop,
    an_operation,
    an_order,
)

pytestmark = pytest.mark.django_db
NINE = datetime(2026, 1, 5, 9, tzinfo=UTC)
State = Operation.State


def minutes(count: float) -> timedelta:
    return timedelta(minutes=count)


@pytest.fixture
def workshop():
    return a_workshop()


@pytest.fixture
def order(workshop):
    return an_order(workshop)


@pytest.fixture
def hand(workshop):
    return a_hand(workshop, name="Ines")


def test_a_start_makes_the_operation_run(order, hand):
    operation = an_operation(order)
    clocking = start(operation, hand, at=NINE)
    operation.refresh_from_db()
    assert (clocking.started_at, clocking.ended_at) == (NINE, None)
    assert operation.state == State.RUNNING


def test_a_start_pauses_what_the_hand_was_doing(order, hand):
    first, second = an_operation(order), an_operation(order)
    start(first, hand, at=NINE)
    start(second, hand, at=NINE + minutes(20))
    first.refresh_from_db()
    assert first.state == State.PAUSED
    assert first.clockings.get().minutes == 20
    assert Clocking.objects.running().get().operation == second


def test_the_same_key_twice_is_one_clocking(order, hand):
    operation, key = an_operation(order), uuid4()
    first = start(operation, hand, at=NINE, key=key)
    again = start(operation, hand, at=NINE + minutes(1), key=key)
    assert first == again
    assert Clocking.objects.count() == 1


def test_a_key_is_not_lent_to_other_work(order, hand):
    key = uuid4()
    start(an_operation(order), hand, at=NINE, key=key)
    with pytest.raises(RuleBroken, match="This key belongs to another clocking"):
        start(an_operation(order), hand, at=NINE, key=key)


def test_starting_what_already_runs_is_refused(order, hand):
    operation = an_operation(order)
    start(operation, hand, at=NINE)
    with pytest.raises(NotNow, match="Ines is already working on “Fit 1”"):
        start(operation, hand, at=NINE + minutes(1))


def test_waiting_work_is_refused_and_names_what_comes_before(order, hand):
    first = an_operation(order, name="Cut tenons")
    second = an_operation(order, name="Glue up", after=[first])
    with pytest.raises(NotNow) as caught:
        start(second, hand, at=NINE)
    assert "“Cut tenons” " in caught.value.message
    assert "must be done first" in caught.value.message
    assert Clocking.objects.count() == 0


def test_work_waits_until_the_glue_has_cured(order, hand):
    glue = an_operation(order, name="Glue up", pieces=1, cure_min=120)
    flush = an_operation(order, name="Flush off", after=[glue])
    start(glue, hand, at=NINE)
    finish(glue, hand, at=NINE + minutes(30), pieces=1)
    with pytest.raises(NotNow, match=r"cures until Monday 11:30"):
        start(flush, hand, at=NINE + minutes(60))
    assert start(flush, hand, at=NINE + minutes(150)).operation == flush


def test_done_and_dropped_work_cannot_be_started(order, hand):
    done = an_operation(order, state=State.DONE, pieces_done=4)
    dropped = an_operation(order, state=State.DROPPED)
    with pytest.raises(NotNow, match="is done"):
        start(done, hand, at=NINE)
    with pytest.raises(NotNow, match="was dropped"):
        start(dropped, hand, at=NINE)


def test_nothing_is_clocked_on_an_order_that_is_not_in_work(workshop, hand):
    operation = an_operation(a_commission(workshop, stage=Stage.ACCEPTED))
    with pytest.raises(NotNow, match="is accepted, not in work"):
        start(operation, hand, at=NINE)


def test_a_hand_of_another_shop_is_refused(order):
    with pytest.raises(RuleBroken, match="must be of one shop"):
        start(an_operation(order), a_hand(a_workshop()), at=NINE)


def test_a_hand_who_left_is_refused(order, workshop):
    gone = a_hand(workshop, name="Tom", is_in_use=False)
    with pytest.raises(NotNow, match="Tom no longer works here"):
        start(an_operation(order), gone, at=NINE)


def test_a_station_out_of_use_is_refused(order, workshop, hand):
    station = a_station(workshop, name="Old saw", is_in_use=False)
    with pytest.raises(NotNow, match="Old saw is out of use"):
        start(an_operation(order), hand, at=NINE, station=station)


def test_a_hand_clocks_only_for_themselves(workshop, order, hand):
    stranger = a_member(workshop, "hand")
    with pytest.raises(NotNow, match="You clock for yourself"):
        start(an_operation(order), hand, at=NINE, by=stranger)
    assert start(an_operation(order), hand, at=NINE, by=a_member(workshop, "foreman"))


def test_the_only_station_of_the_kind_is_taken(order, workshop, hand):
    bench = a_station(workshop)
    assert start(an_operation(order), hand, at=NINE).station == bench


def test_an_event_in_the_future_is_refused(order, hand):
    with pytest.raises(RuleBroken, match="lies in the future") as caught:
        start(an_operation(order), hand, at=datetime.now(UTC) + minutes(10))
    assert caught.value.field == "at"


def test_an_event_before_the_last_one_is_refused(order, hand):
    start(an_operation(order), hand, at=NINE)
    with pytest.raises(RuleBroken, match="last clocked at 09:00:00 on 5 January; this is earlier"):
        start(an_operation(order), hand, at=NINE - minutes(1))
    with pytest.raises(RuleBroken, match="this is earlier"):
        pause(hand, at=NINE - minutes(1))


def test_a_time_without_a_zone_is_refused(order, hand):
    with pytest.raises(RuleBroken, match="with its time zone"):
        start(an_operation(order), hand, at=datetime(2026, 1, 5, 9))  # noqa: DTZ001


def test_pieces_add_up_until_all_are_done(order, hand):
    operation = an_operation(order, pieces=4)
    following = an_operation(order, after=[operation])
    start(operation, hand, at=NINE)
    finish(operation, hand, at=NINE + minutes(20), pieces=1)
    operation.refresh_from_db()
    assert (operation.state, operation.pieces_done) == (State.PAUSED, 1)
    start(operation, hand, at=NINE + minutes(30))
    finish(operation, hand, at=NINE + minutes(60), pieces=3)
    operation.refresh_from_db()
    following.refresh_from_db()
    assert (operation.state, operation.done_at) == (State.DONE, NINE + minutes(60))
    assert following.state == State.READY


def test_what_follows_several_waits_for_the_last_of_them(order, hand):
    first, second = an_operation(order, pieces=1), an_operation(order, pieces=1)
    following = an_operation(order, after=[first, second])
    start(first, hand, at=NINE)
    finish(first, hand, at=NINE, pieces=1)
    following.refresh_from_db()
    assert following.state == State.WAITING
    start(second, hand, at=NINE)
    finish(second, hand, at=NINE + minutes(5), pieces=1)
    following.refresh_from_db()
    assert following.state == State.READY


def test_more_pieces_than_are_left_are_refused(order, hand):
    operation = an_operation(order, pieces=4, pieces_done=1, state=State.PAUSED)
    start(operation, hand, at=NINE)
    with pytest.raises(RuleBroken, match="has 3 of 4 pieces left; give a number from 0 to 3") as e:
        finish(operation, hand, at=NINE + minutes(5), pieces=4)
    assert e.value.nearest == 3
    with pytest.raises(RuleBroken, match="from 0 to 3"):
        pause(hand, at=NINE + minutes(5), pieces=-1)


def test_a_repeated_end_changes_nothing(order, hand):
    operation = an_operation(order, pieces=4)
    start(operation, hand, at=NINE)
    first = finish(operation, hand, at=NINE + minutes(9), pieces=2)
    again = finish(operation, hand, at=NINE + minutes(9), pieces=2)
    operation.refresh_from_db()
    assert first == again
    assert operation.pieces_done == 2


def test_there_is_nothing_to_pause_before_a_start(hand):
    with pytest.raises(NotNow, match="Ines has no work running"):
        pause(hand, at=NINE)


def test_finishing_other_work_than_runs_is_refused(order, hand):
    running, other = an_operation(order, name="Saw"), an_operation(order, name="Sand")
    start(running, hand, at=NINE)
    with pytest.raises(NotNow, match=r"working on “Saw” \(.*\), not on “Sand”"):
        finish(other, hand, at=NINE + minutes(5), pieces=1)


def test_two_hands_work_on_one_operation(workshop, order, hand):
    operation, other = an_operation(order, pieces=4), a_hand(workshop)
    start(operation, hand, at=NINE)
    start(operation, other, at=NINE + minutes(5))
    pause(hand, at=NINE + minutes(10), pieces=1)
    operation.refresh_from_db()
    assert (operation.state, operation.pieces_done) == (State.RUNNING, 1)
    finish(operation, other, at=NINE + minutes(30), pieces=3)
    operation.refresh_from_db()
    assert operation.state == State.DONE


def test_the_last_piece_ends_everybodys_work_on_it(workshop, order, hand):
    operation, other = an_operation(order, pieces=2), a_hand(workshop)
    start(operation, hand, at=NINE)
    start(operation, other, at=NINE + minutes(5))
    finish(operation, hand, at=NINE + minutes(30), pieces=2)
    assert not Clocking.objects.running().exists()
    assert other.clockings.get().minutes == 25


class TestCorrection:
    """A foreman changes a clocking."""

    @pytest.fixture
    def clocking(self, order, hand):
        operation = an_operation(order, pieces=4)
        start(operation, hand, at=NINE)
        return finish(operation, hand, at=NINE + minutes(60), pieces=4)

    def fix(self, clocking, **more):
        said = {
            "by": None,
            "reason": "Forgot the break",
            "started_at": clocking.started_at,
            "ended_at": clocking.ended_at,
            "pieces": clocking.pieces,
            "at": NINE + minutes(100),
        }
        return correct(clocking, **{**said, **more})

    def test_the_old_value_is_kept(self, clocking, workshop):
        foreman = a_member(workshop, "foreman")
        fixed = self.fix(clocking, ended_at=NINE + minutes(45), by=foreman)
        kept = ClockingCorrection.objects.get()
        assert fixed.minutes == 45
        assert (kept.old_started_at, kept.old_ended_at, kept.old_pieces, kept.by) == (
            NINE,
            NINE + minutes(60),
            4,
            foreman,
        )

    def test_a_reason_is_needed(self, clocking):
        with pytest.raises(RuleBroken, match="Say why") as caught:
            self.fix(clocking, reason="  ", pieces=3)
        assert caught.value.field == "reason"
        assert not ClockingCorrection.objects.exists()

    def test_fewer_pieces_reopen_the_operation(self, clocking, order):
        following = an_operation(order, after=[clocking.operation], state=State.READY)
        self.fix(clocking, pieces=3)
        clocking.operation.refresh_from_db()
        following.refresh_from_db()
        assert (clocking.operation.state, clocking.operation.pieces_done) == (State.PAUSED, 3)
        assert clocking.operation.done_at is None
        assert following.state == State.WAITING

    def test_more_pieces_than_there_are_are_refused(self, clocking):
        with pytest.raises(RuleBroken, match="from 0 to 4"):
            self.fix(clocking, pieces=5)

    def test_an_overlap_is_refused_and_named(self, clocking, order, hand):
        later = an_operation(order, name="Sand")
        start(later, hand, at=NINE + minutes(60))
        with pytest.raises(RuleBroken, match=r"Ines was on “Sand” .* would overlap"):
            self.fix(clocking, ended_at=NINE + minutes(70))

    def test_an_end_before_the_start_is_refused(self, clocking):
        with pytest.raises(RuleBroken, match="end must be later"):
            self.fix(clocking, ended_at=NINE - minutes(1))

    def test_the_future_is_refused(self, clocking):
        with pytest.raises(RuleBroken, match="in the future"):
            self.fix(clocking, ended_at=datetime.now(UTC) + minutes(10))

    def test_what_has_ended_cannot_run_again(self, clocking):
        with pytest.raises(NotNow, match="give it an end"):
            self.fix(clocking, ended_at=None)

    def test_an_old_edition_is_refused(self, clocking):
        self.fix(clocking, pieces=3, version=clocking.version)
        with pytest.raises(Stale):
            self.fix(clocking, pieces=2, version=clocking.version)

    def test_a_running_clocking_may_have_begun_earlier(self, order, hand):
        running = start(an_operation(order), hand, at=NINE)
        fixed = self.fix(running, started_at=NINE - minutes(15))
        assert (fixed.started_at, fixed.ended_at) == (NINE - minutes(15), None)
