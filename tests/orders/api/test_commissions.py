"""Stages, copies and files of a commission, through the API."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from orders.core.stages import Stage
from orders.models import Commission, Operation
from orders.services.orderfile import example
from tests.builders import a_commission, a_joint, an_assembly, extra_work


@pytest.fixture
def commission(workshop):
    commission = a_commission(workshop)
    frame = an_assembly(commission)
    a_joint(frame)
    extra_work(frame)
    return commission


def test_an_accepted_commission_is_released_by_moving_it_into_work(program, commission):
    for stage in ("quoted", "accepted", "in-work"):
        answer = program.post(f"commissions/{commission.pk}/moves/", {"to": stage})
        assert answer.status_code == 200, answer.json()

    assert answer.json()["stage"] == Stage.IN_WORK
    found = program.get("operations/", commission=commission.pk).json()
    assert found["count"] == Operation.objects.count() > 3


def test_a_move_that_is_not_allowed_says_which_are(program, commission):
    answer = program.post(f"commissions/{commission.pk}/moves/", {"to": "closed"})

    assert answer.status_code == 409
    assert "cannot become" in answer.json()["detail"]


def test_releasing_takes_its_own_permission(program_of, commission):
    commission.stage = Stage.ACCEPTED
    commission.save()
    path = f"commissions/{commission.pk}/moves/"

    assert program_of("estimator").post(path, {"to": "in-work"}).status_code == 403
    assert program_of("foreman").post(path, {"to": "in-work"}).status_code == 200


def test_a_copy_is_an_enquiry(program, commission):
    copy = program.post(f"commissions/{commission.pk}/copies/").json()

    assert copy["stage"] == "enquiry"
    assert Commission.objects.get(pk=copy["id"]).assemblies.count() == 1


def test_an_order_file_comes_back_as_it_went_in(program):
    document = example()

    made = program.post("order-files/", document)

    assert made.status_code == 201, made.json()
    assert program.get(f"commissions/{made.json()['id']}/order-file/").json() == document


def test_an_order_file_is_checked_and_not_taken_in(program):
    assert program.post("order-files/check/", example()).status_code == 204
    wrong = {**example(), "assemblies": [{"name": "x", "parts": [{"name": "y"}]}]}

    answer = program.post("order-files/check/", wrong)

    assert answer.status_code == 400
    assert all(e["pointer"].startswith("#/assemblies/0/") for e in answer.json()["errors"])
    assert not Commission.objects.exists()


def test_the_schema_of_an_order_file_is_published(program):
    schema = program.get("order-files/schema/").json()
    assert schema["title"] == "Order file"


def a_file(text, name="list.csv"):
    return SimpleUploadedFile(name, text.encode(), "text/csv")


def sent(program, path, text):
    return program.client.post(
        f"/api/v1/{path}", {"file": a_file(text)}, headers={"Idempotency-Key": text[:60]}
    )


def test_a_cutting_list_is_looked_at_then_taken_in(program, commission):
    frame = commission.assemblies.get()
    path = f"assemblies/{frame.pk}/cutting-lists/"
    right = "Part,Species,Length,Width,Thickness,Quantity\nmuntin,oak-white,310,55,24,2\n"

    looked_at = sent(program, f"{path}check/", right).json()
    taken = sent(program, path, right)

    assert looked_at["is_right"] is True
    assert [part["name"] for part in taken.json()] == ["muntin"]
    csv = program.client.get(
        f"/api/v1/commissions/{commission.pk}/cutting-list/", headers={"Accept": "text/csv"}
    )
    assert b"muntin" in csv.content


def test_a_cutting_list_with_a_bad_cell_is_marked_and_not_stored(program, commission):
    frame = commission.assemblies.get()
    path = f"assemblies/{frame.pk}/cutting-lists/"
    wrong = "Part,Species,Length,Width,Thickness\nmuntin,oak-white,=1+1,55,24\n"

    looked_at = sent(program, f"{path}check/", wrong).json()
    refused = sent(program, path, wrong)

    assert looked_at["is_right"] is False
    assert looked_at["rows"][0]["cells"]["length_mm"]["message"]
    assert refused.status_code == 400
    assert frame.parts.count() == 2


def test_the_joint_book_tells_its_rules_of_thumb(program):
    found = program.get("joint-types/mortise-tenon/").json()

    names = [own["name"] for own in found["type"]["dimensions"]]
    assert "tenon_length_mm" in names
    assert found["study"]["by_hand"]
    assert program.get("joint-types/").status_code == 200
    assert program.get("joint-types/none/").status_code == 404
    assert any(row["code"] == "oak-white" for row in program.get("species/").json())


def test_standard_times_are_read_by_edition(program):
    edition = program.get("standards/").json()["results"][0]

    rows = program.get(f"standards/{edition['id']}/rows/").json()

    assert edition["number"] == 1
    assert {"joint", "operation", "each_min"} <= set(rows[0])
