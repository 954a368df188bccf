"""The workspace of a commission, and its moves."""

import pytest
from django.urls import reverse

from orders.models import Operation
from tests.builders import a_commission, a_joint, a_part, an_assembly


def test_an_empty_commission_says_where_to_begin(signed_in, workshop):
    order = a_commission(workshop)
    page = signed_in().get(order.get_absolute_url())
    assert "Nothing is broken down yet" in page.text
    assert page.text.count('class="act first"') == 1
    assert reverse("assembly-add", args=[order.pk]) in page.text


def test_a_joint_shows_its_drawings_its_glue_and_its_minutes(signed_in, commission):
    joint = commission.assemblies.get().joints.get()
    page = signed_in().get(reverse("joint", args=[joint.pk]))
    assert 'class="drawing iso"' in page.text
    assert "long to long, crossed" in page.text
    assert "Open: 1 of 6." in page.text
    assert "Cut the mortise" in page.text


def test_the_selected_thing_is_marked_in_the_tree(signed_in, commission):
    joint = commission.assemblies.get().joints.get()
    page = signed_in().get(reverse("joint", args=[joint.pk]))
    assert page.text.count('<li aria-current="true">') == 1


def test_the_stages_are_a_line_with_the_days_they_were_reached(signed_in, commission):
    page = signed_in().get(commission.get_absolute_url())
    assert 'aria-current="step"' in page.text
    assert page.text.count('class="to-come"') == 5


@pytest.mark.parametrize("assemblies", [1, 6])
def test_the_workspace_takes_the_same_queries_however_large(
    signed_in, commission, django_assert_num_queries, assemblies
):
    for _ in range(assemblies):
        frame = an_assembly(commission)
        a_joint(frame, part_a=a_part(frame, width_mm=90), part_b=a_part(frame))
    joint = commission.assemblies.first().joints.get()
    browser = signed_in()
    address = reverse("joint", args=[joint.pk])
    browser.get(address)
    with django_assert_num_queries(18):
        browser.get(address)


def test_a_joint_that_no_longer_fits_says_why_and_hides_nothing_else(signed_in, commission):
    frame = commission.assemblies.get()
    joint = frame.joints.get()
    type(joint).objects.filter(pk=joint.pk).update(dimensions={"tenon_length_mm": 5_000})
    page = signed_in().get(reverse("joint", args=[joint.pk]))
    assert page.status_code == 200
    assert "The tenon is longer than the stile is wide; shorten it." in page.text
    assert "stile" in page.text


@pytest.mark.parametrize(
    ("role", "stage", "offered"),
    [
        ("owner", "accepted", "Release to the bench"),
        ("foreman", "accepted", "Release to the bench"),
        ("estimator", "enquiry", "Price the commission"),
    ],
)
def test_the_usual_move_is_the_one_filled_button(signed_in, commission, role, stage, offered):
    commission.stage = stage
    commission.save()
    page = signed_in(role).get(commission.get_absolute_url())
    first = page.text.split('class="act first"')
    assert len(first) == 2
    assert first[1].split("</a>")[0].endswith(offered)


def test_a_move_says_what_happens_before_it_is_made(signed_in, commission):
    browser = signed_in()
    address = reverse("commission-move", args=[commission.pk, "quoted"])
    page = browser.get(address)
    assert "It counts as quoted" in page.text
    commission.refresh_from_db()
    assert commission.stage == "enquiry"
    browser.post(address, {"note": "by letter"})
    commission.refresh_from_db()
    assert commission.stage == "quoted"
    assert commission.moves.get().note == "by letter"


def test_a_move_that_is_not_allowed_shows_its_sentence(signed_in, commission):
    browser = signed_in()
    address = reverse("commission-move", args=[commission.pk, "delivered"])
    sentence = "A commission that is “Enquiry” cannot become “Delivered”."
    assert sentence in browser.get(address).text
    assert sentence in browser.post(address).text
    commission.refresh_from_db()
    assert commission.stage == "enquiry"


def test_the_release_offers_the_operations_to_the_bench(signed_in, commission):
    commission.stage = "accepted"
    commission.save()
    page = signed_in("foreman").post(reverse("commission-move", args=[commission.pk, "in-work"]))
    assert page.status_code == 302, page.context["form"].errors
    commission.refresh_from_db()
    assert commission.stage == "in-work"
    assert Operation.objects.of(commission.workshop).exists()
    joint = commission.assemblies.get().joints.get()
    page = signed_in().get(reverse("joint", args=[joint.pk]))
    assert "ready" in page.text
    assert reverse("part-add", args=[joint.assembly_id]) not in page.text


@pytest.mark.parametrize(
    ("role", "stage"), [("foreman", "quoted"), ("estimator", "in-work"), ("hand", "quoted")]
)
def test_a_move_needs_its_own_permission(signed_in, commission, role, stage):
    address = reverse("commission-move", args=[commission.pk, stage])
    assert signed_in(role).get(address).status_code == 403


def test_a_stage_that_is_none_is_not_found(signed_in, commission):
    address = reverse("commission-move", args=[commission.pk, "burnt"])
    assert signed_in().get(address).status_code == 404


def test_prices_are_for_those_who_may_see_them(signed_in, commission):
    assert "/estimate" not in signed_in("foreman").get(commission.get_absolute_url()).text


def test_work_left_to_do_is_not_offered_as_delivered(signed_in, commission):
    browser = signed_in()
    commission.stage = "accepted"
    commission.save()
    browser.post(reverse("commission-move", args=[commission.pk, "in-work"]))
    delivered = reverse("commission-move", args=[commission.pk, "delivered"])
    first = f'<a class="act first" href="{delivered}">'
    assert first not in browser.get(commission.get_absolute_url()).text
    Operation.objects.filter(commission=commission).update(state="done")
    assert first in browser.get(commission.get_absolute_url()).text
