"""Typing a breakdown in: assemblies, parts, extra work."""

import pytest
from django.urls import reverse

from orders.models import Assembly, Part
from tests.builders import a_part, a_workshop, an_assembly

RAIL = {
    "name": "seat rail",
    "species": "oak-white",
    "thickness_mm": "45",
    "width_mm": "95",
    "length_mm": "1260",
    "quantity": "2",
    "grain": "length",
}


@pytest.fixture
def frame(commission):
    """The frame of the table."""
    return commission.assemblies.get()


def test_enter_presses_save_and_add_another(signed_in, frame):
    page = signed_in().get(reverse("part-add", args=[frame.pk]))
    first_button = page.text.split('form="entry"')[1]
    assert 'name="then" value="again"' in first_button


def test_a_part_is_added_with_the_next_mark_and_the_form_comes_again(signed_in, frame):
    address = reverse("part-add", args=[frame.pk])
    answer = signed_in().post(address, {**RAIL, "then": "again"})
    assert answer.url == address
    assert frame.parts.get(name="seat rail").mark == "P3"


def test_species_and_thickness_are_carried_over_and_the_name_is_not(signed_in, frame):
    browser = signed_in()
    address = reverse("part-add", args=[frame.pk])
    browser.post(address, {**RAIL, "species": "ash-white", "then": "again"})
    page = browser.get(address)
    form = page.context["form"]
    assert form["species"].value() == "ash-white"
    assert form["thickness_mm"].value() == "45"
    assert not form["name"].value()


def test_the_first_field_has_the_focus(signed_in, frame):
    page = signed_in().get(reverse("part-add", args=[frame.pk]))
    assert page.text.count("autofocus") == 1
    assert page.context["form"].fields["name"].widget.attrs["autofocus"]


def test_after_a_fault_the_wrong_field_has_the_focus_and_all_is_kept(signed_in, frame):
    page = signed_in().post(
        reverse("part-add", args=[frame.pk]), {**RAIL, "width_mm": "1,200", "note": "quartered"}
    )
    form = page.context["form"]
    assert form.fields["width_mm"].widget.attrs["autofocus"]
    assert "autofocus" not in form.fields["name"].widget.attrs
    assert "may mean thousands or thousandths" in page.text
    assert 'value="1,200"' in page.text
    assert 'value="quartered"' in page.text
    assert 'aria-invalid="true" aria-describedby="id_width_mm_error"' in page.text


@pytest.mark.parametrize(
    ("unit", "typed", "stored"), [("mm", '1 3/16"', "30.162"), ("inch", "1 3/16", "30.162")]
)
def test_lengths_are_typed_in_millimetres_or_inches(
    signed_in, frame, workshop, unit, typed, stored
):
    workshop.unit = unit
    workshop.save()
    typed_part = {**RAIL, "width_mm": "70 mm", "length_mm": "90 cm", "thickness_mm": typed}
    signed_in().post(reverse("part-add", args=[frame.pk]), typed_part)
    part = frame.parts.get(name="seat rail")
    assert str(part.thickness_mm) == stored
    assert part.length_mm == 900


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("width_mm", "0"),
        ("width_mm", "-5"),
        ("length_mm", "99999999"),
        ("quantity", "10000"),
        ("quantity", "2.5"),
        ("species", "moon-wood"),
        ("name", ""),
    ],
)
def test_a_value_that_cannot_be_gets_its_fault_beside_the_field(signed_in, frame, field, typed):
    page = signed_in().post(reverse("part-add", args=[frame.pk]), {**RAIL, field: typed})
    assert page.status_code == 200
    assert page.context["form"].errors[field]
    assert frame.parts.count() == 2


def test_a_part_that_a_joint_needs_is_not_removed(signed_in, frame):
    part = frame.parts.first()
    page = signed_in().post(reverse("part-remove", args=[part.pk]), follow=True)
    assert "is joined by J1; remove the joint first." in page.text
    assert Part.objects.filter(pk=part.pk).exists()


def test_an_assembly_leads_on_to_its_parts(signed_in, commission):
    answer = signed_in().post(
        reverse("assembly-add", args=[commission.pk]),
        {"name": "Top", "quantity": "1", "then": "parts"},
    )
    top = Assembly.objects.get(name="Top")
    assert answer.url == reverse("part-add", args=[top.pk])


def test_assemblies_cannot_stand_in_a_circle(signed_in, commission, frame):
    inner = an_assembly(commission, name="Inner", parent=frame)
    page = signed_in().post(
        reverse("assembly-change", args=[frame.pk]),
        {"name": "Frame", "quantity": "1", "parent": inner.pk, "version": "1"},
    )
    assert page.context["form"].errors["parent"] == [
        "Inner is part of Frame; choose another parent."
    ]


def test_an_assembly_is_duplicated_in_one_press(signed_in, commission, frame):
    signed_in().post(reverse("assembly-duplicate", args=[frame.pk]))
    copy = commission.assemblies.exclude(pk=frame.pk).get()
    assert copy.joints.count() == 1


def test_the_usual_work_is_added_in_one_press(signed_in, frame):
    signed_in().post(reverse("extras-usual", args=[frame.pk]))
    assert frame.extras.count() > 3


def test_extra_work_without_minutes_takes_the_standard_time(signed_in, frame):
    signed_in().post(
        reverse("extra-add", args=[frame.pk]), {"operation": "finish", "count": "1", "minutes": ""}
    )
    assert frame.extras.get(operation="finish").minutes is None


def test_somebody_elses_part_cannot_be_changed(signed_in, frame):
    part = a_part(frame)
    browser = signed_in(place=a_workshop())
    assert browser.post(reverse("part-change", args=[part.pk]), RAIL).status_code == 404
