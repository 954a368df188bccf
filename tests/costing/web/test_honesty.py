"""Whether estimates are honest, on the screen."""

from django.urls import reverse

from tests.builders import a_hand, a_workshop
from tests.costing.services.clocking_rows import learn_now, slow_orders


def test_months_orders_and_the_plot_are_shown(signed_in, workshop, django_assert_max_num_queries):
    slow_orders(workshop, a_hand(workshop))
    learn_now(workshop)
    browser = signed_in()
    with django_assert_max_num_queries(14):
        page = browser.get(reverse("honesty")).content.decode()
    assert "Month by month" in page
    assert 'aria-label="Hours taken of each order' in page
    outcomes = ("beyond P80", "as foretold", "quicker than P10")
    assert sum(page.count(f"<td>{one}</td>") for one in outcomes) == 8


def test_an_empty_page_says_what_will_come(signed_in):
    browser = signed_in("foreman", a_workshop())
    assert "No order is finished yet" in browser.get(reverse("honesty")).content.decode()
