"""Plans and promises through the API."""

from tests.builders import a_commission, a_hand, a_station, an_assembly, extra_work


def test_the_earliest_honest_date_is_answered_without_planning_anything(program, workshop):
    a_station(workshop)
    a_hand(workshop)
    commission = a_commission(workshop)
    extra_work(an_assembly(commission), operation="fit-hardware", minutes=90)

    answer = program.get(f"commissions/{commission.pk}/earliest-date/").json()

    assert answer["starts_on"] <= answer["planned_on"] <= answer["promised_on"]
    assert answer["work_min"] == 90


def test_a_day_that_is_none_is_refused_at_its_place(program, workshop):
    commission = a_commission(workshop)

    answer = program.get(f"commissions/{commission.pk}/earliest-date/?not_before=soon")

    assert answer.status_code == 400
    assert "not_before" in answer.json()["errors"][0]["pointer"]
