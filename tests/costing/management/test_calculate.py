"""The calculators at the command line: published figures, schemas, and documents that are broken."""

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from pydantic import TypeAdapter

from costing.core.cutting import CuttingPlan
from costing.core.cutting_check import check_cutting
from costing.services.calculators import CALCULATORS, SHORT
from costing.services.calculators.cutting import CUTTING
from costing.services.calculators.reading import document_of, read
from orders.core.book import joint_types
from orders.core.errors import RuleBroken, RulesBroken, WorkshopError
from tests.shop.core.plan.shops import job_shop
from tests.shop.core.plan.test_planner import FT06

ROOT = Path(__file__).resolve().parents[3]
NAMES = sorted(CALCULATORS)


def run(monkeypatch, name, text, *options):
    """The exit code, the answer and the refusal of the command, in this process."""
    sent = text if isinstance(text, bytes) else text.encode()
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(sent)))
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("calculate", name, *options, stdout=out, stderr=err)
    except SystemExit as left:
        return left.code, out.getvalue(), json.loads(err.getvalue())
    return 0, json.loads(out.getvalue()), err.getvalue()


def answer(monkeypatch, name, document):
    """The answer to a document that is in order."""
    code, said, refused = run(monkeypatch, name, json.dumps(document))
    assert code == 0, refused
    return said


def fault(monkeypatch, name, document):
    """The pointers and the refusal of a document that is not."""
    text = document if isinstance(document, str | bytes) else json.dumps(document)
    code, said, refused = run(monkeypatch, name, text)
    assert (code, said) == (2, "")
    return [each["pointer"] for each in refused.get("errors", [])], refused


def alone(name, text, folder, *options):
    """The command in a process of its own, with nowhere to keep anything and no database."""
    (folder / "a-file").touch()
    return subprocess.run(
        [sys.executable, "-m", "shop", "calculate", name, *options],
        input=text,
        capture_output=True,
        cwd=ROOT,
        timeout=120,
        env={
            **os.environ,
            "TRENAIL_DATA": str(folder / "a-file" / "no-folder"),
            "DATABASE_URL": "postgres://nobody@127.0.0.1:1/nothing",
        },
    )


def changed(name, **changes):
    """A calculator's example with some values changed."""
    return {**CALCULATORS[name].example(), **changes}


@pytest.mark.parametrize("name", NAMES)
def test_it_answers_without_a_database_or_a_data_folder(name, tmp_path):
    done = alone(name, json.dumps(CALCULATORS[name].example()).encode(), tmp_path)

    assert done.returncode == 0, done.stderr.decode()
    assert done.stderr == b""
    assert json.loads(done.stdout)
    assert not (tmp_path / "a-file").is_dir()


def test_a_bad_document_leaves_with_two_and_says_so_on_standard_error(tmp_path):
    done = alone("joint", b'{"type": "mortis-tenon"}', tmp_path)

    assert (done.returncode, done.stdout) == (2, b"")
    refused = json.loads(done.stderr)
    assert set(refused) == {"type", "title", "status", "detail", "errors"}
    assert refused["errors"][0]["pointer"] == "#/type"
    assert "mortise-tenon" in refused["detail"]


def test_an_unknown_calculator_leaves_with_two(tmp_path):
    assert alone("soup", b"{}", tmp_path).returncode == 2


@pytest.mark.parametrize("name", NAMES)
def test_documents_and_answers_keep_to_the_published_schemas(monkeypatch, name):
    _, schemas, _ = run(monkeypatch, name, "", "--schema")

    for schema in schemas.values():
        Draft202012Validator.check_schema(schema)
    example = CALCULATORS[name].example()
    Draft202012Validator(schemas["input"]).validate(example)
    Draft202012Validator(schemas["output"]).validate(answer(monkeypatch, name, example))
    assert schemas["input"]["additionalProperties"] is False


def test_every_joint_type_is_listed_with_its_rules_of_thumb(monkeypatch):
    _, listed, _ = run(monkeypatch, "joint", "", "--list")

    assert [each["type"] for each in listed] == list(joint_types())
    for each in listed:
        assert each["label"]
        assert each["a_label"]
        for own in each["dimensions"]:
            assert own["label"]
            assert own["rule"]
            assert own["source"]
            assert own["default"] is not None


def test_only_joint_has_a_list():
    with pytest.raises(CommandError, match="Only joint"):
        call_command("calculate", "labour", "--list")


@pytest.mark.parametrize("code", list(joint_types()))
def test_every_type_is_studied_by_its_code_alone(monkeypatch, code):
    said = answer(monkeypatch, "joint", {"type": code, "drawing": True})

    assert (
        said["dimensions"]
        == joint_types()[code].fitted(*joint_types()[code].example).own_dimensions()
    )
    assert said["drawing_svg"].startswith("<svg")
    assert said["by_hand"]["operations"] or said["by_machine"]["operations"]


def test_a_mortise_and_tenon_is_as_worked_by_hand(monkeypatch):
    """Both cheeks 40 x 32; waste of the rail (60 x 24 - 40 x 8) x 32, mortise 40 x 8 x (32 + 2)."""
    said = answer(monkeypatch, "joint", CALCULATORS["joint"].example())

    assert said["glue"]["long_long_crossed_mm2"] == pytest.approx(2 * 40 * 32)
    assert said["b_length_in_joint_mm"] == pytest.approx(32)
    removed = {member["key"]: member["removed_mm3"] for member in said["members"]}
    assert removed == pytest.approx({"a": 40 * 8 * 34, "b": (60 * 24 - 40 * 8) * 32})
    assert said["holds"]["free_axes"] == ["+x"]
    assert said["by_hand"]["total_min"] > said["by_machine"]["total_min"] > 0
    assert said["cautions"]


def test_lengths_may_be_written_as_a_bench_does(monkeypatch):
    said = answer(
        monkeypatch,
        "joint",
        changed("joint", a={"width_mm": "1 3/4 in", "thickness_mm": "2,4 cm"}, dimensions={}),
    )

    assert said["a"] == {"width_mm": 44.45, "thickness_mm": 24, "length_mm": 1000}


def test_a_length_in_words_that_is_none_is_pointed_to(monkeypatch):
    document = changed("joint", a={"width_mm": "wide", "thickness_mm": 24})

    assert fault(monkeypatch, "joint", document)[0] == ["#/a/width_mm"]


def test_a_published_job_costs_what_the_textbook_says(monkeypatch):
    """Source: Heisinger & Hoyle, Accounting for Managers, sections 2.2 and 2.3, figures 2.2 to 2.6.

    Material 370, labour 6 h at 15, overhead 6 h at 30: 640.
    """
    said = answer(monkeypatch, "estimate", CALCULATORS["estimate"].example())

    amounts = {line["key"]: line["amount"] for line in said["lines"]}
    assert amounts == {"labour": "90.00", "sundries": "370.00", "overhead": "180.00"}
    assert (said["cost"], said["net"], said["gross"]) == ("640.00", "640.00", "640.00")


def test_a_published_markup_makes_the_published_price(monkeypatch):
    """Source: Heisinger & Hoyle, Accounting for Managers, section 2.5, figure 2.10: job 40.

    Material 1,500, labour 3,300, overhead 6,000; 70 % on cost: 18,360.
    """
    document = CALCULATORS["estimate"].example()
    document["operations"] = [{**document["operations"][0], "each_min": 60}]
    document["extras"] = [{**document["extras"][0], "unit_price": 1500}]
    document["rates"] |= {
        "labour": {"joinery": 3300},
        "overhead": {"rate": "6000"},
        "profit": {"basis": "markup", "share": "0.7"},
    }

    said = answer(monkeypatch, "estimate", document)

    assert (said["cost"], said["net"]) == ("10800.00", "18360.00")


def test_a_cutting_plan_holds_before_the_checker(monkeypatch):
    example = CUTTING.example()

    said = answer(monkeypatch, "cutting", example)

    assert said["broken_rules"] == []
    plan = TypeAdapter(CuttingPlan).validate_python(said["plan"])
    job = read(TypeAdapter(CUTTING.document), example)
    assert check_cutting(plan, job) == ()
    assert sum(len(s.parts) * p.copies for p in plan.patterns for s in p.strips) == 12
    assert plan.lower_bound <= plan.cost


def test_fisher_and_thompsons_six_by_six_is_proved_at_55(monkeypatch):
    """Source: Fisher and Thompson, in Muth and Thompson (eds.), Industrial Scheduling, 1963."""
    problem = job_shop(FT06)
    document = TypeAdapter(type(problem)).dump_python(problem, mode="json")

    said = answer(monkeypatch, "schedule", {**document, "seed": 1})

    assert said["schedule"]["objective"]["makespan_min"] == 55
    assert said["schedule"]["lower_bound"] == 55
    assert said["schedule"]["proved"] is True
    assert said["broken_rules"] == []


def test_labour_is_the_geometric_mean_of_its_ratios(monkeypatch):
    """By hand: 36 / 30 and 33 / 30 have the typical ratio (1.2 x 1.1) ** 0.5."""
    said = answer(monkeypatch, "labour", CALCULATORS["labour"].example())

    drill, chop = said["lines"]
    assert (drill["joint_type"], drill["low"]) == ("dowel", None)
    assert chop["ratio"] == pytest.approx((1.2 * 1.1) ** 0.5)
    assert chop["low"] < chop["ratio"] < chop["high"]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    "text",
    [
        "",
        "  \n",
        "tenon",
        "[]",
        "null",
        "3",
        '"mortise-tenon"',
        '{"x": NaN}',
        '{"x": Infinity}',
        '{"x": 1e400}',
        '{"x": ' + "9" * 5000 + "}",
        '{"x": 1, "x": 2}',
        '{"x": ' + "[" * 300 + "]" * 300 + "}",
        '{"x": ' + "[" * 100_000,
        b"\xff\xfe{}",
        b'{"x": "\\ud800"}',
    ],
)
def test_what_is_no_document_is_refused_in_a_sentence(monkeypatch, name, text):
    _, refused = fault(monkeypatch, name, text)

    assert refused["status"] == 400
    assert refused["detail"].endswith((".", "?"))


@pytest.mark.parametrize("name", NAMES)
def test_a_key_that_nobody_knows_is_pointed_to(monkeypatch, name):
    pointers, _ = fault(monkeypatch, name, changed(name, colour="green"))

    assert pointers == ["#/colour"]


@pytest.mark.parametrize(
    ("name", "document", "pointer"),
    [
        ("joint", {"type": "mortise-tenon", "dimensions": {"a": 3}}, "#/dimensions/a"),
        (
            "joint",
            changed("joint", dimensions={"tenon_length_mm": 90}),
            "#/dimensions/tenon_length_mm",
        ),
        ("joint", changed("joint", a={"width_mm": -4, "thickness_mm": 24}), "#/a/width_mm"),
        ("joint", changed("joint", a={"width_mm": 4e9, "thickness_mm": 24}), "#/a/width_mm"),
        ("joint", changed("joint", species="oka"), "#/species"),
        ("joint", changed("joint", count=0), "#/count"),
        ("estimate", changed("estimate", currency="EUR"), "#/currency"),
        (
            "estimate",
            changed(
                "estimate",
                rack={
                    "boards": [
                        {"species": "oak", "thickness_mm": 27, "price_per_m3": 1, "spread": 900}
                    ]
                },
            ),
            "#/rack/boards/0/spread",
        ),
        (
            "estimate",
            changed("estimate", rack={"allowance": {"length_mm": -1}}),
            "#/rack/allowance/length_mm",
        ),
        (
            "estimate",
            changed("estimate", assemblies=[{"key": "table", "label": "T", "quantity": 10**15}]),
            "#/assemblies/0/quantity",
        ),
        ("cutting", changed("cutting", rules={"kerf_rip_mm": -1}), "#/rules/kerf_rip_mm"),
        ("cutting", changed("cutting", rules={"effort": 10**7}), "#/rules/effort"),
        (
            "schedule",
            changed("schedule", calendars={"day": {"timezone": "Mars/Base"}}),
            "#/calendars/day/timezone",
        ),
        (
            "schedule",
            changed(
                "schedule",
                calendars={
                    "day": {
                        "timezone": "UTC",
                        "weekly": [
                            {"weekday": 1, "start": "08:00", "end": "09:00"},
                            {"weekday": 7, "start": "08:00", "end": "09:00"},
                        ],
                    }
                },
            ),
            "#/calendars/day/weekly/1/weekday",
        ),
        ("schedule", changed("schedule", now="9999-01-01T00:00:00Z"), "#/now"),
        ("schedule", changed("schedule", now="2026-01-05T07:00:00"), "#/now"),
        ("schedule", changed("schedule", budget={"seconds": 1e6}), "#/budget/seconds"),
        ("schedule", changed("schedule", budget={"evaluations": 0}), "#/budget/evaluations"),
        ("labour", changed("labour", confidence=2), "#/confidence"),
        (
            "labour",
            changed(
                "labour",
                clockings=[
                    {"joint_type": "dowel", "operation": "drill", "standard_min": 3, "taken_min": 0}
                ],
            ),
            "#/clockings/0/taken_min",
        ),
    ],
)
def test_a_value_that_cannot_be_is_pointed_to(monkeypatch, name, document, pointer):
    pointers, refused = fault(monkeypatch, name, document)

    assert pointers == [pointer], refused


def test_a_rack_without_the_timber_says_what_to_add(monkeypatch):
    document = CALCULATORS["estimate"].example()
    part = {
        "key": "p",
        "label": "Top",
        "species": "oak-white",
        "length_mm": 900,
        "width_mm": 90,
        "thickness_mm": 24,
    }
    document["assemblies"][0]["parts"] = [part]

    _, refused = fault(monkeypatch, "estimate", document)

    assert refused["status"] == 409
    assert "oak-white" in refused["detail"]


def test_what_multiplies_to_more_than_can_be_reckoned_is_refused(monkeypatch):
    document = CALCULATORS["estimate"].example()
    document["extras"][0] |= {"unit_price": 1e9, "quantity": 1e9}
    document["assemblies"][0]["quantity"] = 10**9

    assert fault(monkeypatch, "estimate", document)[1]["status"] == 400


ODD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**20), 10**20),
    st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from(
        [0, -1, 1e-300, 1e9, 999_999_999, "", "1/0", "1e999999", "\x00", "oak", [], {}]
    ),
    st.text(max_size=6),
)


@st.composite
def broken(draw, document):
    """A document with one to three of its values replaced by something odd, or left out."""
    spoiled = json.loads(json.dumps(document))
    for _ in range(draw(st.integers(1, 3))):
        holders = list(places(spoiled))
        if not holders:
            break
        holder, step = draw(st.sampled_from(holders))
        if draw(st.booleans()) or isinstance(holder, list):
            holder[step] = draw(ODD)
        else:
            del holder[step]
    return spoiled


def places(value):
    """Every place of a document that holds a value."""
    steps = value.items() if isinstance(value, dict) else enumerate(value)
    for step, inner in list(steps):
        yield value, step
        if isinstance(inner, dict | list):
            yield from places(inner)


def tried(ask):
    """The refusal and the answer, one of them None."""
    try:
        return None, ask()
    except WorkshopError as error:
        return error, None


def pointed_to(error):
    """The fields of an error."""
    if isinstance(error, RulesBroken):
        return [each.field for each in error.errors]
    return [error.field] if isinstance(error, RuleBroken) else []


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=120, derandomize=True, database=None)
@given(data=st.data())
def test_a_broken_document_is_refused_in_a_sentence_or_reckoned(name, data):
    calculator = CALCULATORS[name]
    document = data.draw(broken(calculator.example()))
    refused, said = tried(lambda: calculator.calculate(json.dumps(document).encode(), SHORT))
    if refused is None:
        Draft202012Validator(calculator.answer_schema()).validate(said)
        json.dumps(said, allow_nan=False)
    else:
        assert refused.message
        assert all(not field.startswith("/") for field in pointed_to(refused))


@settings(max_examples=200, derandomize=True, database=None)
@given(st.binary(max_size=60) | st.text(max_size=60).map(str.encode))
def test_any_bytes_are_a_document_or_refused(text):
    refused, document = tried(lambda: document_of(text))

    assert isinstance(document, dict) or refused.message
