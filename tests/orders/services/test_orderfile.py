"""Order files out and in."""

import json
from copy import deepcopy

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orders.core.errors import RuleBroken, RulesBroken
from orders.core.species import all_species
from orders.models import Assembly, Client, Commission, Part
from orders.services.orderfile import export_order, import_order, order_file_schema
from tests.builders import a_workshop

pytestmark = pytest.mark.django_db

EXAMPLE = order_file_schema()["examples"][0]


def changed(path, value):
    """The example with one value changed."""
    document = deepcopy(EXAMPLE)
    *steps, last = path
    here = document
    for step in steps:
        here = here[step]
    here[last] = value
    return document


def faults_of(document):
    """What an import of the document says, by field."""
    with pytest.raises((RuleBroken, RulesBroken)) as caught:
        import_order(a_workshop(), document, by=None)
    error = caught.value
    several = error.errors if isinstance(error, RulesBroken) else (error,)
    return {fault.field: fault.message for fault in several}


def words(most):
    """Text as it is stored: printable, with single blanks."""
    letters = st.characters(codec="utf-8", exclude_categories=["C", "Z"])
    return st.text(letters, min_size=1, max_size=most)


def size(least, most):
    return st.integers(least * 1000, most * 1000).map(lambda thousandths: thousandths / 1000)


def marked(letter, things):
    """The same things with marks P1, P2 ... or J1, J2 ..."""
    return [{**thing, "mark": f"{letter}{place}"} for place, thing in enumerate(things, start=1)]


PARTS = st.fixed_dictionaries(
    {
        "name": words(20),
        "species": st.sampled_from(sorted(all_species())),
        "length_mm": size(100, 3_000),
        "width_mm": size(30, 300),
        "thickness_mm": size(15, 60),
        "quantity": st.integers(1, 9_999),
        "grain": st.just("length"),
        "note": words(20) | st.just(""),
    }
)
EXTRAS = st.fixed_dictionaries(
    {
        "operation": st.sampled_from(["plane-up", "sand", "deliver"]),
        "name": words(20) | st.just(""),
        "minutes": st.none() | st.integers(0, 100_000).map(lambda hundredths: hundredths / 100),
        "count": st.integers(1, 9_999),
    }
)
JOINTS = st.fixed_dictionaries(
    {
        "name": words(20) | st.just(""),
        "type": st.sampled_from(["mortise-tenon", "butt"]),
        "part_a": st.just("P1"),
        "part_b": st.just("P2"),
        "count": st.integers(1, 9_999),
        "method": st.sampled_from(["hand", "machine"]),
        "dimensions": st.just({}),
        "fixings": st.sampled_from([[], [{"fixing": "panel-pin-20", "count": 2}]]),
        "jig": st.sampled_from(["", "dowelling-jig"]),
    }
)


def assemblies(within):
    return st.fixed_dictionaries(
        {
            "name": words(20),
            "quantity": st.integers(1, 9_999),
            "parts": st.lists(PARTS, min_size=2, max_size=3).map(lambda all: marked("P", all)),
            "joints": st.lists(JOINTS, max_size=2).map(lambda all: marked("J", all)),
            "extras": st.lists(EXTRAS, max_size=2),
            "assemblies": within,
        }
    )


ORDERS = st.fixed_dictionaries(
    {
        "version": st.just(1),
        "title": words(40),
        "client": st.fixed_dictionaries(
            {
                "name": words(40),
                "contact": words(20) | st.just(""),
                "email": st.sampled_from(["", "shop@byrne.example"]),
                "phone": st.just(""),
                "address": st.just("4 Mill Lane\nDublin"),
                "tax_number": st.just(""),
            }
        ),
        "exposure": st.sampled_from(["dry-interior", "weather-exterior"]),
        "glue_class": st.sampled_from([None, "D4"]),
        "glue_reason": words(20) | st.just(""),
        "due_on": st.none() | st.dates().map(str),
        "weight": st.integers(1, 1_000).map(lambda tenths: tenths / 10),
        "note": words(40) | st.just(""),
        "assemblies": st.lists(
            assemblies(st.lists(assemblies(st.just([])), max_size=1)), max_size=2
        ),
    }
)


@settings(max_examples=40, suppress_health_check=list(HealthCheck))
@given(document=ORDERS)
def test_export_gives_back_what_import_took(document):
    assert export_order(import_order(a_workshop(), document, by=None)) == document


def test_the_example_of_the_schema_keeps_the_schema_and_imports():
    schema = order_file_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(EXAMPLE, schema)
    commission = import_order(a_workshop(), EXAMPLE, by=None)
    jsonschema.validate(export_order(commission), schema)
    assert export_order(commission) == EXAMPLE


def test_the_schema_says_where_it_is_and_what_each_value_means():
    schema = order_file_schema()
    assert schema["$id"] == "https://trenail.example/schemas/order-file-1.json"
    for kind in schema["$defs"].values():
        for name, told in kind.get("properties", {}).items():
            assert told.get("description"), name


def test_the_file_survives_being_written_as_text():
    assert json.loads(json.dumps(EXAMPLE)) == EXAMPLE


def test_what_is_left_out_takes_its_usual_value():
    order = {
        "title": "Stool",
        "client": {"name": "Byrne"},
        "assemblies": [
            {
                "name": "Seat",
                "parts": [
                    {
                        "name": "seat",
                        "species": "oak-white",
                        "length_mm": 300,
                        "width_mm": 300,
                        "thickness_mm": 30,
                    }
                ],
            }
        ],
    }
    part = import_order(a_workshop(), order, by=None).assemblies.get().parts.get()
    assert (part.mark, part.quantity, part.grain) == ("P1", 1, "length")


def test_a_client_known_by_name_is_taken_as_it_stands():
    workshop = a_workshop()
    first = import_order(workshop, EXAMPLE, by=None)
    second = import_order(workshop, EXAMPLE, by=None)
    assert second.client == first.client
    assert second.number == first.number + 1


@pytest.mark.parametrize(
    ("path", "value", "field", "sentence"),
    [
        (["title"], "", "title", "Give title."),
        (["colour"], "red", "colour", "There is no colour here; correct its spelling or take it"),
        (["due_on"], "tomorrow", "due_on", "Give due_on as a date, as 2027-03-31."),
        (["exposure"], "moon", "exposure", "Choose exposure from 'dry-interior', "),
        (["client"], {}, "client/name", "Give name."),
        (["client", "email"], "x", "client/email", "Write the e-mail address as"),
        (["assemblies", 0, "quantity"], 10_000, "assemblies/0/quantity", "of at most 9999."),
        (["assemblies", 0, "quantity"], True, "assemblies/0/quantity", "as a whole number."),
        (["assemblies", 0, "quantity"], "2", "assemblies/0/quantity", "as a whole number."),
        (
            ["assemblies", 0, "parts", 1, "length_mm"],
            0,
            "assemblies/0/parts/1/length_mm",
            "Give length_mm of at least 0.5.",
        ),
        (
            ["assemblies", 0, "parts", 1, "length_mm"],
            float("nan"),
            "assemblies/0/parts/1/length_mm",
            "Give length_mm as a number.",
        ),
        (
            ["assemblies", 0, "parts", 1, "species"],
            "oak",
            "assemblies/0/parts/1/species",
            "There is no species 'oak' in the table. Did you mean",
        ),
        (
            ["assemblies", 0, "parts", 1, "mark"],
            "P1",
            "assemblies/0/parts/1/mark",
            "This assembly already has a part P1; choose another mark.",
        ),
        (
            ["assemblies", 0, "joints", 0, "part_b"],
            "P9",
            "assemblies/0/joints/0/part_b",
            "This assembly has no part 'P9'; its parts are P1, P2.",
        ),
        (
            ["assemblies", 0, "joints", 0, "part_b"],
            "P1",
            "assemblies/0/joints/0/part_b",
            "A part cannot be joined to itself; choose another part.",
        ),
        (
            ["assemblies", 0, "joints", 0, "type"],
            "mortice",
            "assemblies/0/joints/0/type",
            "There is no joint type 'mortice'; did you mean",
        ),
        (
            ["assemblies", 0, "joints", 0, "dimensions"],
            {"tenon_length_mm": 60},
            "assemblies/0/joints/0/dimensions/tenon_length_mm",
            "The tenon is longer than the stile is wide; shorten it.",
        ),
        (
            ["assemblies", 0, "joints", 0, "dimensions"],
            {"tenon_length_mm": None},
            "assemblies/0/joints/0/dimensions/tenon_length_mm",
            "Give tenon_length_mm as a number.",
        ),
        (
            ["assemblies", 0, "extras", 0, "operation"],
            "plane",
            "assemblies/0/extras/0/operation",
            "There is no operation 'plane'; choose from",
        ),
        (["note"], "a\x00b", "note", "Take the unprintable characters out of the note."),
    ],
)
def test_each_fault_is_said_beside_its_place(path, value, field, sentence):
    found = faults_of(changed(path, value))
    assert next(iter(found)) == field
    assert sentence in found[field]


def test_a_class_below_the_exposure_needs_a_reason():
    found = faults_of({**EXAMPLE, "exposure": "weather-exterior", "glue_class": "D2"})
    assert "give the reason for D2" in found["glue_class"]


def test_faults_in_several_places_come_together():
    document = deepcopy(EXAMPLE)
    document["assemblies"][0]["parts"][0]["species"] = "moonwood"
    document["assemblies"][0]["extras"][0]["operation"] = "gild"
    assert set(faults_of(document)) == {
        "assemblies/0/parts/0/species",
        "assemblies/0/extras/0/operation",
    }


def test_a_faulty_file_stores_nothing():
    faults_of(changed(["assemblies", 0, "parts", 1, "species"], "moonwood"))
    assert not Commission.objects.exists()
    assert not Client.objects.exists()
    assert not Assembly.objects.exists()


@pytest.mark.parametrize("document", [None, [], "text", 7])
def test_what_is_no_object_is_said(document):
    assert faults_of(document)[""].startswith("An order file is one object")


def test_a_slash_in_an_unknown_name_is_escaped():
    assert list(faults_of({**EXAMPLE, "a/b~c": 1})) == ["a~1b~0c"]


def test_too_many_assemblies_are_refused():
    found = faults_of({**EXAMPLE, "assemblies": [{"name": "x"}] * 2_001})
    assert found == {"assemblies": "An order file holds 2,000 assemblies at most; divide it."}


def test_too_many_parts_are_refused():
    found = faults_of({**EXAMPLE, "assemblies": [{"name": "x", "parts": [{}] * 20_001}]})
    assert found == {"assemblies": "An order file holds 20,000 parts at most; divide it."}


def test_assemblies_too_deep_are_refused():
    inner = {"name": "x"}
    for _ in range(13):
        inner = {"name": "x", "assemblies": [inner]}
    found = faults_of({**EXAMPLE, "assemblies": [inner]})
    assert found == {"assemblies": "Assemblies may stand 12 deep; bring some further up."}


def test_endless_nesting_anywhere_is_refused():
    nest = []
    for _ in range(5_000):
        nest = [nest]
    assert "nests more than 80 deep" in faults_of({**EXAMPLE, "note": nest})[""]


def test_a_large_file_is_written_and_read_in_few_queries(django_assert_max_num_queries):
    assembly = deepcopy(EXAMPLE["assemblies"][0])
    document = {**EXAMPLE, "assemblies": [assembly] * 100}
    with django_assert_max_num_queries(25):
        commission = import_order(a_workshop(), document, by=None)
    assert Part.objects.filter(assembly__commission=commission).count() == 200
    with django_assert_max_num_queries(5):
        assert export_order(commission) == document
