"""From clockings in the database to a fit that is kept, and what people said of it."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from django.utils import timezone

from costing.core.labour import PlannedBatch, hours_of, learn
from costing.models import ClockingJudgement, DoubtfulClocking, HandEffect, LabourChange, LabourFit
from costing.services import learning
from costing.services.clocked import read
from orders.core.species import species
from orders.models import Operation
from orders.services.standards import current_edition, new_edition, times_of
from shop.models import Job
from shop.services import jobs
from tests.builders import a_hand, a_joint, a_workshop, extra_work
from tests.costing.services.clocking_rows import clock, done, order_joint, released_order

NOW = timezone.now()
BATCH = PlannedBatch(
    joint="mortise-tenon", operation="chop-mortise", method="hand", setup_min=2, each_min=10
)


@pytest.fixture
def slow_work(workshop, hand):
    """Eight orders on which the mortises took half as long again as the standard of 45 min."""
    rng = np.random.default_rng(5)
    for number in range(8):
        at = NOW - timedelta(days=40 - number)
        order = released_order(workshop, at)
        for _ in range(3):
            done(order, hand, 45 * 1.5 * rng.lognormal(0, 0.1), at=at + timedelta(days=1))
    return workshop


def job_after(workshop):
    """The job that learned, run as a worker would."""
    learning.ask_to_learn(workshop, by=None)
    job = Job.objects.of(workshop).filter(kind=learning.KIND).first()
    if not job.is_finished:
        jobs.run(job.pk)
    return Job.objects.get(pk=job.pk)


def chop(workshop):
    edition = current_edition(workshop)
    return next(
        row
        for row in times_of(edition).rows
        if (row.joint, row.operation) == ("mortise-tenon", "chop-mortise")
    )


def test_what_takes_longer_than_the_standard_is_learned(slow_work):
    job = job_after(slow_work)

    assert job.state == Job.State.DONE, job.problem
    fit = LabourFit.objects.of(slow_work).get()
    cell = fit.cells.get()
    assert (cell.joint, cell.operation, cell.method) == ("mortise-tenon", "chop-mortise", "hand")
    assert cell.clockings == fit.clockings == 24
    assert 1.25 < cell.each_ratio < 1.6
    assert cell.each_low < cell.each_ratio < cell.each_high


def test_what_is_kept_foretells_as_what_was_learned(slow_work):
    job_after(slow_work)

    kept = hours_of(learning.learned_of(slow_work), [BATCH] * 5)
    fresh = hours_of(learn(read(slow_work).clockings), [BATCH] * 5)

    assert kept.mean == pytest.approx(fresh.mean, rel=1e-5)
    assert kept.p80 == pytest.approx(fresh.p80, rel=1e-4)


def test_a_night_without_news_keeps_the_fit(slow_work):
    job_after(slow_work)
    made_at = LabourFit.objects.of(slow_work).get().made_at

    assert job_after(slow_work).result["is_new"] is False
    assert LabourFit.objects.of(slow_work).get().made_at == made_at


def test_the_night_asks_only_for_workshops_that_clock(slow_work):
    idle = a_workshop()

    assert learning.sweep() == 1
    assert not Job.objects.of(idle).exists()


def test_without_clockings_there_is_nothing_to_learn(workshop):
    job = job_after(workshop)

    assert job.state == Job.State.FAILED
    assert "nothing to learn from" in job.problem


def test_an_adopted_standard_is_not_learned_again(slow_work):
    row = chop(slow_work)
    scaled = replace(row, each_min=row.each_min * 1.5, per_driver=row.per_driver * 1.5)
    new_edition(slow_work, [scaled], valid_from=timezone.localdate())

    assert learning.fit_of(slow_work) is None
    job_after(slow_work)

    cell = LabourFit.objects.of(slow_work).get().cells.get()
    assert 0.9 < cell.each_ratio < 1.1


def test_minutes_are_restated_where_rows_differ_in_more_than_scale(workshop, hand):
    row = chop(workshop)
    order = released_order(workshop, NOW - timedelta(days=3))
    oak = order_joint(order)
    factor = species(oak.part_a.species).time_factor
    each = (row.each_min + row.per_driver * 6) * factor
    done(order, hand, 60, joint=oak, each_min=each, setup_min=row.setup_min)
    changed = replace(row, setup_min=row.setup_min + 3, each_min=row.each_min + 1)
    new_edition(workshop, [changed], valid_from=timezone.localdate())

    (spell,) = read(workshop).spells

    assert spell.clocking.setup_min == pytest.approx(row.setup_min + 3)
    assert spell.clocking.each_min == pytest.approx(each + factor)


def test_each_hand_counts_for_its_pieces_and_a_helper_with_who_made_most(workshop, hand):
    order = released_order(workshop, NOW - timedelta(days=3))
    operation = done(order, hand, 30, pieces=4)
    operation.clockings.update(pieces=3)
    mate, helper = a_hand(workshop), a_hand(workshop)
    clock(operation, mate, 12, pieces=1, at=NOW)
    clock(operation, helper, 8, pieces=0, at=NOW)

    found = {spell.hand: spell.clocking for spell in read(workshop).spells}

    assert set(found) == {hand.pk, mate.pk}
    assert (found[hand.pk].taken_min, found[hand.pk].pieces) == (pytest.approx(38), 3)
    assert found[hand.pk].setup_min + found[mate.pk].setup_min == pytest.approx(5)


def test_minutes_that_a_person_gave_say_nothing_of_the_standard(workshop, hand):
    order = released_order(workshop, NOW - timedelta(days=3))
    joint = a_joint(order_joint(order).assembly)
    extra = extra_work(joint.assembly, minutes=30)
    done(order, hand, 60, code="sand")
    Operation.objects.update(extra=extra, joint=None)

    assert read(workshop).spells == []


def test_a_wild_clocking_is_doubted_and_never_deleted(slow_work, hand):
    wild = done(released_order(slow_work, NOW - timedelta(days=5)), hand, 45 * 30)

    job_after(slow_work)

    doubt = DoubtfulClocking.objects.of(slow_work).get()
    assert doubt.operation == wild
    assert doubt.chance_wrong > 0.9
    assert 45 < doubt.expected_min < 90
    assert wild.clockings.count() == 1


def test_a_judgement_holds_for_the_minutes_judged(slow_work, hand):
    wild = done(released_order(slow_work, NOW - timedelta(days=5)), hand, 45 * 30)
    judged = ClockingJudgement.objects.create(
        operation=wild, hand=hand, minutes=45 * 30, is_sound=False, at=NOW
    )

    assert [spell.operation for spell in read(slow_work).left_out] == [wild.pk]

    judged.is_sound = True
    judged.save()
    (vouched,) = (s for s in read(slow_work).spells if s.operation == wild.pk)
    assert vouched.clocking.is_vouched

    wild.clockings.update(ended_at=NOW, started_at=NOW - timedelta(minutes=50))
    (corrected,) = (s for s in read(slow_work).spells if s.operation == wild.pk)
    assert not corrected.clocking.is_vouched


def test_hands_get_their_own_effects(slow_work):
    slow = a_hand(slow_work)
    for number in range(6):
        order = released_order(slow_work, NOW - timedelta(days=30 - number))
        done(order, slow, 45 * 2.4, at=NOW - timedelta(days=29 - number))

    job_after(slow_work)

    whole = {one.hand_id: one.factor for one in HandEffect.objects.filter(operation="")}
    assert whole[slow.pk] > 1 > min(whole.values())


def test_a_step_is_noticed_and_a_refused_one_is_not_found_again(workshop, hand):
    for number in range(40):
        at = NOW - timedelta(days=120 - 2 * number)
        minutes = 45 if number < 25 else 22
        done(released_order(workshop, at), hand, minutes, at=at)
    job_after(workshop)
    found = LabourChange.objects.of(workshop).get()
    assert found.state == LabourChange.State.FOUND
    assert found.factor < 0.75

    LabourChange.objects.update(state=LabourChange.State.REFUSED)
    job_after(workshop)

    assert LabourChange.objects.of(workshop).get().state == LabourChange.State.REFUSED
