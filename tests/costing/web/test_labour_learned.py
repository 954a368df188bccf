"""What was learned, on the screen: plots, groups, judgements, changes, hands, files."""

import io
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from openpyxl import load_workbook

from costing.models import ClockingJudgement, DoubtfulClocking, LabourChange, LabourFit
from costing.services import learning
from shop.models import Job
from shop.services import jobs
from tests.builders import a_hand, a_member, a_workshop
from tests.costing.services.clocking_rows import done, released_order

NOW = timezone.now()
CHOP = {"joint": "mortise-tenon", "operation": "chop-mortise"}


@pytest.fixture
def hand(workshop):
    return a_hand(workshop, name="Nora Quill", membership=a_member(workshop, "hand").membership)


@pytest.fixture
def learned(workshop, hand):
    """Nine sound batches that took half as long again as the standard, and a wild one."""
    for number in range(9):
        at = NOW - timedelta(days=40 - 2 * number)
        done(released_order(workshop, at), hand, 62 + number, at=at)
    done(released_order(workshop, NOW), hand, 45 * 30, at=NOW - timedelta(days=1))
    learn(workshop)
    return LabourFit.objects.of(workshop).get()


def learn(workshop):
    job = Job.objects.create(workshop=workshop, kind=learning.KIND)
    jobs.run(job.pk)


def page_of(browser, name, **asked):
    return browser.get(reverse(name), asked).content.decode()


def test_the_page_tells_what_was_learned_and_draws_what_was_lost(signed_in, learned):
    page = page_of(signed_in(), "labour")

    assert "Learned from 10 finished batches" in page
    assert 'aria-label="What was lost and gained' in page
    assert 'fill="var(--ink)"' in page
    assert "style=" not in page[page.index("<svg") :]
    assert f"{learned.cells.get().each_ratio:.2f}" in page


def test_money_is_shown_only_to_who_sees_the_rates(signed_in, learned):
    assert "lost, EUR" in page_of(signed_in("owner"), "labour")
    foreman = page_of(signed_in("foreman"), "labour")
    assert "lost, EUR" not in foreman
    assert "EUR" not in foreman


def test_behind_a_line_stand_strip_trend_and_groups(signed_in, learned):
    page = page_of(signed_in(), "labour-behind", **CHOP)

    assert 'aria-label="10 batches on a line' in page
    assert 'aria-label="Taken over standard by day' in page
    for quality in ("species", "section", "batch", "method", "month", "hand"):
        assert f"By {quality}" in page
    assert "By hand" not in page_of(signed_in("foreman"), "labour-behind", **CHOP)


def test_ids_of_two_plots_on_a_page_differ(signed_in, learned):
    page = page_of(signed_in(), "labour-behind", **CHOP)
    ids = [part.split('"')[0] for part in page.split(' id="')[1:]]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize(("said", "is_sound"), [("sound", True), ("wrong", False)])
def test_a_doubt_is_judged_and_the_clocking_stays(signed_in, learned, said, is_sound):
    doubt = DoubtfulClocking.objects.get()
    browser = signed_in("foreman")
    assert doubt.operation.mark in page_of(browser, "labour-judge")

    browser.post(reverse("doubt-judge", args=[doubt.pk]), {"is": said, "note": "ran on"})

    judged = ClockingJudgement.objects.get()
    assert (judged.is_sound, judged.note, judged.minutes) == (is_sound, "ran on", doubt.minutes)
    assert doubt.operation.clockings.count() == 1
    page = page_of(browser, "labour-judge")
    assert "No clocking waits for a judgement" in page
    learn(learned.workshop)
    assert LabourFit.objects.get().left_out == (0 if is_sound else 1)


def test_a_note_that_is_too_long_judges_nothing(signed_in, learned):
    doubt = DoubtfulClocking.objects.get()
    answer = signed_in().post(
        reverse("doubt-judge", args=[doubt.pk]), {"is": "wrong", "note": "n" * 201}, follow=True
    )
    assert "at most 200 characters" in answer.content.decode()
    assert not ClockingJudgement.objects.exists()


def test_a_change_is_marked_settled_and_refused(signed_in, learned):
    browser = signed_in("foreman")
    day = timezone.localdate() - timedelta(days=20)
    sent = {"work": "chop-mortise/hand", "joint": "mortise-tenon", "on": str(day), "note": "Jig"}

    browser.post(reverse("labour-judge"), sent)
    change = LabourChange.objects.get(state="marked")
    assert (change.operation, change.on, change.note) == ("chop-mortise", day, "Jig")
    learn(learned.workshop)
    change.refresh_from_db()
    assert change.factor

    browser.post(reverse("change-settle", args=[change.pk]), {"is": "none"})
    change.refresh_from_db()
    assert change.state == "refused"


def test_a_change_to_come_is_refused_beside_its_field(signed_in, learned):
    day = timezone.localdate() + timedelta(days=3)
    sent = {"work": "chop-mortise/hand", "on": str(day), "note": "New jig"}
    page = signed_in().post(reverse("labour-judge"), sent).content.decode()
    assert "This day has not come" in page
    assert 'value="New jig"' in page


def test_hands_are_compared_for_the_owner_and_for_themselves_only(signed_in, learned, hand, client):
    other = a_hand(learned.workshop, name="Bert Ash")
    done(released_order(learned.workshop, NOW), other, 50, at=NOW)
    learn(learned.workshop)

    assert "Bert Ash" in page_of(signed_in("owner"), "hand-effects")
    assert signed_in("foreman").get(reverse("hand-effects")).status_code == 403
    client.force_login(hand.membership.user, "shop.services.access.RoleBackend")
    mine = client.get(reverse("own-effects")).content.decode()
    assert "Nora Quill" in mine
    assert "Bert Ash" not in mine


def test_the_table_goes_out_as_files(signed_in, learned):
    browser = signed_in()
    rows = browser.get(reverse("labour-csv")).content.decode("utf-8-sig").splitlines()
    assert rows[0].endswith("lost min,lost")
    assert rows[1].startswith("Mortise and tenon,Chop the mortise,10,40,")

    book = load_workbook(io.BytesIO(browser.get(reverse("labour-xlsx")).content))
    assert book.active.max_row == 2
    assert "lost\r" not in signed_in("foreman").get(reverse("labour-csv")).content.decode()


def test_learning_is_asked_for_and_shown_while_it_goes_on(signed_in, workshop):
    answer = signed_in("foreman").post(reverse("labour-learn"))
    job = Job.objects.get(kind=learning.KIND)
    assert answer.url == reverse("job", args=[job.pk])
    assert reverse("job-line", args=[job.pk]) in page_of(signed_in(), "labour")
    assert signed_in("estimator").post(reverse("labour-learn")).status_code == 403


def test_what_belongs_to_another_workshop_is_not_found(signed_in, learned):
    stranger = signed_in("owner", a_workshop())
    doubt = DoubtfulClocking.objects.get()
    assert stranger.post(reverse("doubt-judge", args=[doubt.pk])).status_code == 404


def test_pages_take_few_queries(signed_in, learned, django_assert_max_num_queries):
    browser = signed_in()
    with django_assert_max_num_queries(16):
        page_of(browser, "labour")
    with django_assert_max_num_queries(12):
        page_of(browser, "labour-behind", **CHOP)
    with django_assert_max_num_queries(13):
        page_of(browser, "labour-judge")
