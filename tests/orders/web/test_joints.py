"""The joint form: fields by type, rules of thumb, the drawing beside it, its faults."""

import pytest
from django.urls import reverse

from orders.models import Joint
from tests.builders import a_part, an_assembly


@pytest.fixture
def frame(commission):
    """The frame of the table."""
    return commission.assemblies.get()


@pytest.fixture
def typed(frame):
    """A mortise and tenon between stile and rail, all dimensions left to the rules."""
    stile, rail = frame.parts.order_by("pk")
    return {
        "type": "mortise-tenon",
        "part_a": stile.pk,
        "part_b": rail.pk,
        "count": "4",
        "method": "machine",
    }


@pytest.fixture
def address(frame):
    """The page that adds a joint."""
    return reverse("joint-add", args=[frame.pk])


def test_the_form_shows_the_rules_of_thumb_of_the_chosen_parts(signed_in, address, typed):
    page = signed_in().post(address, {**typed, "show": "1"})
    field = page.context["form"].fields["dimensions/tenon_length_mm"]
    assert field.widget.attrs["placeholder"] == "40 by rule"
    assert "Two thirds of the stile" in page.text


def test_the_drawing_stands_beside_the_form(signed_in, address, typed):
    page = signed_in().post(address, {**typed, "show": "1"})
    assert 'class="drawing iso"' in page.text
    assert 'class="drawing front"' in page.text


def test_showing_stores_nothing_and_keeps_what_was_typed(signed_in, address, typed, frame):
    page = signed_in().post(
        address, {**typed, "show": "1", "dimensions/tenon_length_mm": "35", "name": "rail to stile"}
    )
    assert frame.joints.count() == 1
    assert 'value="35"' in page.text
    assert 'value="rail to stile"' in page.text


def test_another_type_brings_its_own_fields(signed_in, address, typed):
    page = signed_in().post(address, {**typed, "type": "dowel", "show": "1"})
    form = page.context["form"]
    assert "dimensions/dowel_count" in form.fields
    assert "dimensions/tenon_length_mm" not in form.fields


@pytest.mark.parametrize("button", [{}, {"show": "1"}])
def test_a_tenon_longer_than_the_stile_is_refused_beside_its_field(
    signed_in, address, typed, frame, button
):
    page = signed_in().post(address, {**typed, **button, "dimensions/tenon_length_mm": "80"})
    assert page.context["form"].errors["dimensions/tenon_length_mm"] == [
        "The tenon is longer than the stile is wide; shorten it. The nearest that would do: 60."
    ]
    assert 'aria-describedby="id_dimensions/tenon_length_mm_helptext' in page.text
    assert 'value="80"' in page.text
    assert frame.joints.count() == 1


def test_a_joint_is_added_with_its_own_dimensions(signed_in, address, typed, frame):
    answer = signed_in().post(
        address, {**typed, "dimensions/tenon_length_mm": '1 1/2"', "then": "done"}
    )
    joint = frame.joints.get(mark="J2")
    assert answer.url == reverse("joint", args=[joint.pk])
    assert joint.dimensions == {"tenon_length_mm": 38.1}
    assert joint.count == 4


def test_a_part_is_not_joined_to_itself(signed_in, address, typed):
    page = signed_in().post(address, {**typed, "part_b": typed["part_a"]})
    assert page.context["form"].errors["part_b"]


def test_a_part_of_another_assembly_is_not_offered(signed_in, address, typed, commission):
    elsewhere = a_part(an_assembly(commission))
    page = signed_in().post(address, {**typed, "part_a": elsewhere.pk})
    assert page.context["form"].errors["part_a"]


@pytest.mark.parametrize(
    ("field", "value"),
    [("type", "welded"), ("part_a", "-1"), ("part_a", "９"), ("count", "0"), ("type", "")],
)
def test_nonsense_is_refused_and_never_breaks(signed_in, address, typed, field, value):
    page = signed_in().post(address, {**typed, field: value, "show": "1"})
    assert page.status_code == 200
    assert page.context["form"].errors[field]


def test_an_assembly_without_two_parts_says_so(signed_in, commission):
    lonely = an_assembly(commission)
    page = signed_in().get(reverse("joint-add", args=[lonely.pk]))
    assert "A joint needs two parts" in page.text
    assert reverse("part-add", args=[lonely.pk]) in page.text


def test_a_joint_keeps_its_dimensions_when_it_is_changed(signed_in, frame):
    joint = frame.joints.get()
    joint.dimensions = {"tenon_length_mm": 35.0}
    joint.save()
    address = reverse("joint-change", args=[joint.pk])
    browser = signed_in()
    page = browser.get(address)
    assert 'value="35"' in page.text
    browser.post(
        address,
        {
            "type": joint.type,
            "part_a": joint.part_a_id,
            "part_b": joint.part_b_id,
            "count": "2",
            "method": "hand",
            "mark": joint.mark,
            "version": "1",
            "dimensions/tenon_length_mm": "36",
        },
    )
    joint.refresh_from_db()
    assert (joint.dimensions, joint.count, joint.method) == ({"tenon_length_mm": 36.0}, 2, "hand")


def test_a_removed_joint_leaves_its_parts(signed_in, frame):
    joint = frame.joints.get()
    signed_in().post(reverse("joint-remove", args=[joint.pk]))
    assert not Joint.objects.filter(pk=joint.pk).exists()
    assert frame.parts.count() == 2


def test_somebody_elses_change_of_a_joint_is_told_field_by_field(signed_in, frame, typed):
    joint = frame.joints.get()
    joint.count = 6
    joint.dimensions = {"tenon_length_mm": 35.0}
    joint.save_next()
    page = signed_in().post(
        reverse("joint-change", args=[joint.pk]), {**typed, "mark": "J1", "version": "1"}
    )
    told = dict(page.context["form"].stored_meanwhile)
    assert told == {"How many": "6", "Tenon length": "35"}
    assert 'name="version" value="2"' in page.text
