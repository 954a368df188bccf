"""What orders cost and earn, on the screen."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from costing.models import Board, Charge, Quote, RateEdition
from costing.services.quotes import draft_quote
from orders.core.stages import Stage
from orders.models import Commission
from orders.models.commission import StageMove
from tests.builders import a_hand, a_station, a_workshop
from tests.costing.services.clocking_rows import done

NOW = timezone.now()
TODAY = str(timezone.localdate())


@pytest.fixture
def order(workshop, commission):
    """The hall bench, accepted and in work, with two hours clocked on it."""
    quote = draft_quote(commission, by=None, on=timezone.localdate())
    Quote.objects.filter(pk=quote.pk).update(state=Quote.State.ACCEPTED)
    Commission.objects.filter(pk=commission.pk).update(
        stage=Stage.IN_WORK, created_at=NOW - timedelta(days=60)
    )
    StageMove.objects.create(
        commission=commission,
        from_stage="accepted",
        to_stage=Stage.IN_WORK,
        at=NOW - timedelta(days=4),
    )
    joint = commission.assemblies.get(name="Frame").joints.first()
    a_station(workshop)
    done(commission, a_hand(workshop), 120, joint=joint)
    return Commission.objects.get(pk=commission.pk)


def page_of(browser, name, *args, **asked):
    return browser.get(reverse(name, args=args), asked).content.decode()


def test_quoted_stands_against_actual_with_both_parts(signed_in, order):
    page = page_of(signed_in(), "job-cost", order.pk)
    for words in ("Labour", "Timber", "Overhead", "by rate or price", "by hours or quantity"):
        assert words in page
    assert "Assembly by assembly" in page
    assert "2.0 h of" in page


def test_a_charge_is_booked_from_the_rack_and_taken_back(signed_in, workshop, order):
    browser = signed_in()
    board = Board.objects.of(workshop).first()
    sent = {"stock": f"board-{board.pk}", "quantity": "0.125", "on": TODAY}
    page = browser.post(reverse("job-cost", args=[order.pk]), sent, follow=True).content.decode()
    assert "375.00" in page
    row = Charge.objects.get()
    browser.post(reverse("charge-back", args=[row.pk]))
    assert Charge.objects.count() == 2
    again = browser.post(reverse("charge-back", args=[row.pk]), follow=True).content.decode()
    assert "taken back already" in again


def test_what_cannot_be_charged_is_said_beside_its_field(signed_in, order):
    sent = {"label": "Turned legs", "quantity": "4", "on": TODAY}
    page = signed_in().post(reverse("job-cost", args=[order.pk]), sent).content.decode()
    assert "Choose what kind of thing it is." in page
    assert "Give the price of a unit, 0 or more." in page
    assert 'value="Turned legs"' in page


def test_monday_shows_work_in_hand_progress_rank_and_years(signed_in, order):
    browser = signed_in()
    page = page_of(browser, "order-books")
    assert "Hall bench" in page
    assert "At the end of" in page
    StageMove.objects.create(
        commission=order, from_stage=Stage.IN_WORK, to_stage=Stage.DELIVERED, at=NOW
    )
    Commission.objects.filter(pk=order.pk).update(stage=Stage.DELIVERED)
    page = page_of(browser, "order-books", on=str(timezone.localdate() - timedelta(days=2)))
    assert "The bottleneck of the last year is the bench" in page
    assert f'<th scope="row">{timezone.localdate().year}</th>' in page


def test_joints_are_told_with_the_price_they_need(signed_in, order):
    page = page_of(signed_in("estimator"), "charging-for")
    assert "Mortise and tenon" in page
    assert "White oak" in page


def test_without_rates_each_page_says_what_to_do(signed_in, workshop, order):
    RateEdition.objects.of(workshop).update(valid_from="2999-01-01")
    browser = signed_in()
    for name, args in (("job-cost", [order.pk]), ("order-books", []), ("charging-for", [])):
        assert "rate book" in page_of(browser, name, *args)


def test_nobody_else_sees_what_orders_earn(signed_in, order):
    for role in ("foreman", "hand"):
        assert signed_in(role).get(reverse("order-books")).status_code == 403
        assert signed_in(role).get(reverse("job-cost", args=[order.pk])).status_code == 403
    stranger = signed_in("owner", a_workshop())
    assert stranger.get(reverse("job-cost", args=[order.pk])).status_code == 404


def test_pages_take_few_queries(signed_in, order, django_assert_max_num_queries):
    browser = signed_in()
    with django_assert_max_num_queries(40):
        page_of(browser, "job-cost", order.pk)
    with django_assert_max_num_queries(40):
        page_of(browser, "order-books")
    with django_assert_max_num_queries(12):
        page_of(browser, "charging-for")
