"""A commission entered by a program, from client to joint."""

import pytest

from orders.models import Assembly, Client, Joint, Part
from tests.builders import a_commission, a_joint, a_part, a_workshop, an_assembly

RAIL = {
    "name": "rail",
    "species": "oak-white",
    "length_mm": 600,
    "width_mm": "60.5",
    "thickness_mm": 24,
    "quantity": 2,
}


@pytest.fixture
def assembly(workshop):
    return an_assembly(a_commission(workshop))


def pointers(answer):
    assert answer["Content-Type"] == "application/problem+json"
    return [error["pointer"] for error in answer.json().get("errors", [])]


def test_a_whole_commission_is_entered(program):
    client = program.post("clients/", {"name": "Ada Byrne"}).json()
    commission = program.post(
        "commissions/", {"title": "Door", "client": client["id"], "exposure": "damp-interior"}
    ).json()
    assembly = program.post(
        "assemblies/", {"commission": commission["id"], "name": "Frame", "quantity": 2}
    ).json()
    parts = [
        program.post("parts/", {"assembly": assembly["id"], **RAIL, "name": name}).json()
        for name in ("stile", "rail")
    ]
    joint = program.post(
        "joints/",
        {
            "assembly": assembly["id"],
            "type": "mortise-tenon",
            "part_a": parts[0]["id"],
            "part_b": parts[1]["id"],
            "count": 4,
            "dimensions": {"tenon_length_mm": 40},
        },
    ).json()

    study = program.get(f"joints/{joint['id']}/study/").json()

    assert (commission["stage"], parts[0]["mark"], joint["mark"]) == ("enquiry", "P1", "J1")
    assert parts[1]["width_mm"] == "60.500"
    assert study["dimensions"]["tenon_length_mm"] == 40
    assert study["glue_mm2"]["long_long_crossed"] > 0
    assert study["by_machine"]
    assert study["holds"]


def test_what_was_made_stands_at_the_address_that_is_answered(program, assembly):
    answer = program.post("parts/", {"assembly": assembly.pk, **RAIL})

    again = program.client.get(answer["Location"])
    assert again.json() == answer.json()
    assert again["ETag"] == answer["ETag"]


def test_the_same_key_and_body_make_one_row(program):
    first, second = (program.post("clients/", {"name": "Once"}, key="k") for _ in range(2))

    assert first.status_code == second.status_code == 201
    assert first.json() == second.json()
    assert first["ETag"] == second["ETag"]
    assert Client.objects.filter(name="Once").count() == 1


def test_the_same_key_with_another_body_is_refused(program):
    program.post("clients/", {"name": "One"}, key="k")

    answer = program.post("clients/", {"name": "Two"}, key="k")

    assert answer.status_code == 409
    assert not Client.objects.filter(name="Two").exists()


def test_a_refused_request_leaves_its_key_free(program):
    program.post("clients/", {"name": ""}, key="k")

    assert program.post("clients/", {"name": "Right"}, key="k").status_code == 201


def test_a_creating_request_needs_a_key(program):
    answer = program.client.post("/api/v1/clients/", {"name": "A"}, content_type="application/json")

    assert answer.status_code == 400
    assert pointers(answer) == ["#/Idempotency-Key"]


def test_a_change_needs_the_etag_of_what_was_read(program, assembly):
    part = a_part(assembly)
    etag = program.get(f"parts/{part.pk}/")["ETag"]

    assert program.patch(f"parts/{part.pk}/", {"name": "x"}).status_code == 428
    assert program.patch(f"parts/{part.pk}/", {"name": "x"}, etag).json()["name"] == "x"
    assert program.patch(f"parts/{part.pk}/", {"name": "y"}, etag).status_code == 412
    assert program.delete(f"parts/{part.pk}/", etag).status_code == 412
    part.refresh_from_db()
    assert part.name == "x"


@pytest.mark.parametrize(
    ("wrong", "pointer"),
    [
        ({"length_mm": 0}, "#/length_mm"),
        ({"length_mm": -5}, "#/length_mm"),
        ({"length_mm": 10**9}, "#/length_mm"),
        ({"length_mm": "long"}, "#/length_mm"),
        ({"quantity": 10_000}, "#/quantity"),
        ({"quantity": 1.5}, "#/quantity"),
        ({"species": "balsa of the moon"}, "#/species"),
        ({"grain": "upwards"}, "#/grain"),
        ({"name": ""}, "#/name"),
        ({"assembly": 10**30}, "#/assembly"),
        ({"assembly": True}, "#/assembly"),
    ],
)
def test_each_wrong_value_of_a_part_is_pointed_at(program, assembly, wrong, pointer):
    answer = program.post("parts/", {"assembly": assembly.pk, **RAIL, **wrong})

    assert answer.status_code == 400
    assert pointers(answer) == [pointer]
    assert not Part.objects.exists()


@pytest.mark.parametrize(
    ("dimensions", "pointer"),
    [
        ({"tenon_length_mm": 5000}, "#/dimensions/tenon_length_mm"),
        ({"tenon_length_mm": "long"}, "#/dimensions/tenon_length_mm"),
        ({"tenon_length_mm": [1]}, "#/dimensions/tenon_length_mm"),
        ({"wings": 2}, "#/dimensions/wings"),
    ],
)
def test_a_joint_that_cannot_be_made_is_refused_at_its_dimension(
    program, assembly, dimensions, pointer
):
    a, b = a_part(assembly), a_part(assembly)
    body = {
        "assembly": assembly.pk,
        "type": "mortise-tenon",
        "part_a": a.pk,
        "part_b": b.pk,
        "dimensions": dimensions,
    }

    answer = program.post("joints/", body)

    assert answer.status_code == 400
    assert pointers(answer) == [pointer]
    assert not Joint.objects.exists()


def test_assemblies_cannot_stand_in_a_circle(program, assembly):
    inner = an_assembly(assembly.commission, parent=assembly)
    etag = program.get(f"assemblies/{assembly.pk}/")["ETag"]

    answer = program.patch(f"assemblies/{assembly.pk}/", {"parent": inner.pk}, etag)

    assert answer.status_code == 400
    assert pointers(answer) == ["#/parent"]


def test_an_assembly_is_copied_with_all_in_it(program, assembly):
    a_joint(assembly)

    copy = program.post(f"assemblies/{assembly.pk}/copies/").json()

    made = Assembly.objects.get(pk=copy["id"])
    assert (made.parts.count(), made.joints.count()) == (2, 1)


@pytest.mark.parametrize(
    "body",
    [b"", b"{", b"[]", b'"text"', b"null", b'{"name": "\\u0000"}', b'{"name": "\\ud800"}',
     b'{"name": NaN}', b"[" * 100_000, b"\xff\xfe"],
)  # fmt: skip
def test_a_body_that_is_none_is_refused(program, body):
    answer = program.client.post(
        "/api/v1/clients/",
        body,
        content_type="application/json",
        headers={"Idempotency-Key": "k"},
    )

    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"


def test_rows_of_another_workshop_are_neither_seen_nor_used(program, assembly):
    foreign = an_assembly(a_commission(a_workshop()))

    assert program.get(f"assemblies/{foreign.pk}/").status_code == 404
    answer = program.post("parts/", {"assembly": foreign.pk, **RAIL})
    assert pointers(answer) == ["#/assembly"]
    assert program.get("assemblies/").json()["count"] == 1


def test_lists_are_filtered_ordered_and_paged(program, assembly):
    for length in (300, 900, 600):
        a_part(assembly, length_mm=length)
    a_part(an_assembly(assembly.commission), species="teak")

    found = program.get("parts/", assembly=assembly.pk, ordering="-length_mm", page_size=2).json()

    assert (found["count"], len(found["results"])) == (3, 2)
    assert [float(row["length_mm"]) for row in found["results"]] == [900, 600]
    assert program.get("parts/", species="teak").json()["count"] == 1
    assert program.get("parts/", assembly="x").status_code == 400
    assert program.get("parts/", page=99).status_code == 404


def test_queries_of_a_list_do_not_grow(program, assembly, django_assert_max_num_queries):
    for _ in range(20):
        a_part(assembly)

    with django_assert_max_num_queries(5):
        program.get("parts/")


@pytest.mark.parametrize(
    ("role", "see", "edit"), [("estimator", 200, 201), ("foreman", 200, 403), ("hand", 403, 403)]
)
def test_each_role_may_do_what_its_pages_let_it(program_of, assembly, role, see, edit):
    program = program_of(role)

    assert program.get("parts/").status_code == see
    assert program.post("parts/", {"assembly": assembly.pk, **RAIL}).status_code == edit


def test_an_address_that_is_none_answers_a_problem_document(program):
    answer = program.get("no-such-thing/")

    assert answer.status_code == 404
    assert answer["Content-Type"] == "application/problem+json"


def test_without_a_token_the_door_stays_shut(client, db):
    answer = client.get("/api/v1/clients/")

    assert answer.status_code == 401
    assert answer["WWW-Authenticate"] == "Bearer"
