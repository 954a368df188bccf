"""Every page of orders: who may open it, whose rows it shows, and its landmarks."""

import pytest
from django.urls import reverse

from tests.builders import a_workshop

READS = {
    "commissions": "owner estimator foreman",
    "commission": "owner estimator foreman",
    "assembly": "owner estimator foreman",
    "part": "owner estimator foreman",
    "joint": "owner estimator foreman",
    "order-export": "owner estimator foreman",
    "order-schema": "owner estimator foreman",
    "cutting-list-csv": "owner estimator foreman",
    "cutting-list-xlsx": "owner estimator foreman",
    "clients": "owner estimator foreman",
    "client": "owner estimator foreman",
    "joint-book": "owner estimator foreman",
    "joint-type": "owner estimator foreman",
    "commission-new": "owner estimator",
    "commission-change": "owner estimator",
    "order-import": "owner estimator",
    "client-new": "owner estimator",
    "client-change": "owner estimator",
    "assembly-add": "owner estimator",
    "assembly-change": "owner estimator",
    "part-add": "owner estimator",
    "part-change": "owner estimator",
    "joint-add": "owner estimator",
    "joint-change": "owner estimator",
    "extra-add": "owner estimator",
    "extra-change": "owner estimator",
    "cutting-list-import": "owner estimator",
}
VERBS = (
    "commission-duplicate",
    "assembly-duplicate",
    "assembly-remove",
    "part-remove",
    "joint-remove",
    "extra-remove",
    "extras-usual",
)
FILES = ("order-export", "order-schema", "cutting-list-csv", "cutting-list-xlsx")


def address_of(name, commission):
    """The address of a page about this commission."""
    if name == "joint-type":
        return reverse(name, args=["mortise-tenon"])
    assembly = commission.assemblies.get()
    keys = {
        "client": commission.client_id,
        "commission": commission.pk,
        "order": commission.pk,
        "assembly": assembly.pk,
        "part": assembly.parts.first().pk,
        "joint": assembly.joints.get().pk,
        "extra": assembly.extras.get().pk,
        "extras": assembly.pk,
    }
    holders = {
        "cutting-list-csv": "commission",
        "cutting-list-xlsx": "commission",
        "cutting-list-import": "assembly",
        "assembly-add": "commission",
        "part-add": "assembly",
        "joint-add": "assembly",
        "extra-add": "assembly",
    }
    plain = ("commissions", "clients", "joint-book", "order-schema", "order-import")
    if name in plain or name.endswith("-new"):
        return reverse(name)
    return reverse(name, args=[keys[holders.get(name, name.partition("-")[0])]])


@pytest.mark.parametrize("name", READS)
def test_the_page_opens_to_its_roles_alone(signed_in, commission, name):
    address = address_of(name, commission)
    for role in ("owner", "estimator", "foreman", "hand"):
        expected = 200 if role in READS[name].split() else 403
        assert signed_in(role).get(address).status_code == expected, role


@pytest.mark.parametrize("name", [name for name in READS if name not in FILES])
def test_the_page_is_a_sheet_with_one_heading_and_landmarks(signed_in, commission, name):
    page = signed_in().get(address_of(name, commission)).text
    assert page.count("<h1") == 1
    assert '<main class="frame" id="content"' in page
    assert '<nav class="zones" aria-label="Zones of the sheet">' in page
    assert '<footer class="block">' in page
    assert " style=" not in page
    assert " onclick=" not in page


ABOUT_A_ROW = [
    name
    for name in READS
    if name not in ("order-import", "commissions", "clients")
    and not name.endswith(("-new", "-schema", "-book", "-type"))
]


@pytest.mark.parametrize("name", ABOUT_A_ROW)
def test_a_stranger_finds_nothing_there(signed_in, commission, name):
    browser = signed_in(place=a_workshop())
    assert browser.get(address_of(name, commission)).status_code == 404


@pytest.mark.parametrize("name", VERBS)
def test_a_verb_needs_a_post_its_role_and_its_workshop(signed_in, commission, name):
    address = address_of(name, commission)
    assert signed_in().get(address).status_code == 405
    assert signed_in("foreman").post(address).status_code == 403
    assert signed_in(place=a_workshop()).post(address).status_code == 404
    assert signed_in().post(address).status_code == 302


@pytest.mark.parametrize("name", [*READS, *VERBS])
def test_nobody_is_led_to_the_sign_in_page(client, commission, name):
    answer = (
        client.post(address_of(name, commission))
        if name in VERBS
        else client.get(address_of(name, commission))
    )
    assert answer.status_code == 302
    assert answer.url.startswith(reverse("sign-in"))


def test_a_frozen_breakdown_leads_back_with_the_reason(signed_in, commission):
    commission.stage = "in-work"
    commission.save()
    page = signed_in().get(address_of("part-add", commission), follow=True)
    assert "its breakdown is frozen" in page.text


@pytest.mark.parametrize(("status", "words"), [(404, "There is no such sheet"), (403, "not yours")])
def test_a_refusal_is_a_sheet_that_says_what_to_do(signed_in, commission, status, words):
    browser, address = {
        404: (signed_in(), reverse("commission", args=[987_654])),
        403: (signed_in("hand"), reverse("commissions")),
    }[status]
    page = browser.get(address)
    assert page.status_code == status
    assert words in page.text
    assert '<footer class="block">' in page.text


@pytest.mark.parametrize("status", [400, 500])
def test_the_last_resort_needs_nothing_but_itself(status):
    from django.template.loader import render_to_string

    page = render_to_string(f"{status}.html")
    assert page.count("<h1") == 1
    assert "try" in page or "Go back" in page


def test_the_components_are_shown_in_debug_only(signed_in, settings):
    browser = signed_in()
    settings.DEBUG = False
    assert browser.get(reverse("components")).status_code == 404
    settings.DEBUG = True
    page = browser.get(reverse("components"))
    assert "Give title." in page.text
    assert 'aria-describedby="id_wrong-width_mm_error"' in page.text
