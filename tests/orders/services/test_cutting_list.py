"""Cutting lists in and out."""

import io
import zipfile
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from orders.core.errors import NotNow, RuleBroken, RulesBroken
from orders.core.lengths import LengthUnit
from orders.core.species import all_species
from orders.models import Part
from orders.services.assemblies import add_assembly
from orders.services.cutting_list import (
    pack,
    read_cutting_list,
    store,
    unpack,
    write_csv,
    write_xlsx,
)
from orders.services.release import release
from tests.builders import a_workshop
from tests.orders.services.making import a_frame, a_rail, accepted, an_enquiry

pytestmark = pytest.mark.django_db

HEADINGS = "Mark,Part,Species,Length,Width,Thickness,Qty,Grain,Note"
ROW = "A1,rail,oak-white,600,60,24,2,length,top"


def read(text, *, encoding="utf-8", unit="mm"):
    return read_cutting_list("list.csv", text.encode(encoding), unit=unit)


def workbook(*rows):
    """An .xlsx file with these rows."""
    book = Workbook()
    for row in rows:
        book.active.append(row)
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def messages(draft):
    """What is said, by line and field."""
    return {
        (row.line, name): cell.message
        for row in draft.rows
        for name, cell in row.cells.items()
        if cell.message
    }


def stored(draft, **more):
    """The sizes of the first part as stored."""
    part = store(add_assembly(an_enquiry(), name="Frame"), draft, by=None)[0]
    return part.length_mm, part.width_mm, part.thickness_mm


def refusal(data):
    with pytest.raises(RuleBroken) as caught:
        read_cutting_list("list", data, unit="mm")
    assert caught.value.field == "file"
    return caught.value.message


def test_a_list_is_stored_as_it_was_shown():
    draft = read(f"{HEADINGS}\n{ROW}\n")
    assert draft.is_right
    frame = add_assembly(an_enquiry(), name="Frame")
    (part,) = store(frame, draft, by=None)
    part.refresh_from_db()
    assert (part.mark, part.name, part.species, part.quantity) == ("A1", "rail", "oak-white", 2)
    assert (part.length_mm, part.grain, part.note) == (600, "length", "top")


def test_headings_stand_in_any_order_and_case_under_a_title():
    draft = read(
        "Bench for Byrne\n\nQTY;WIDTH;Colour;THK;Timber;Description;L\n3;60;red;24;White Oak;rail;600\n"
    )
    assert [column.field for column in draft.columns] == [
        "quantity",
        "width_mm",
        "thickness_mm",
        "species",
        "name",
        "length_mm",
    ]
    assert draft.ignored == ("Colour",)
    assert draft.rows[0].line == 4
    assert stored(draft) == (600, 60, 24)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
def test_usual_encodings_are_read(encoding):
    draft = read(f"{HEADINGS}\nA1,Füllung,oak-white,600,60,24,2,,\n", encoding=encoding)
    assert draft.rows[0].cells["name"].text == "Füllung"
    assert draft.is_right


def test_an_unknown_encoding_is_said():
    data = f"{HEADINGS}\nA1,x".encode() + b"\x81\x8d"
    assert refusal(data) == "The file is in an unknown encoding; save it as CSV in UTF-8."


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_usual_delimiters_are_read(delimiter):
    draft = read(f"{HEADINGS}\n{ROW}\n".replace(",", delimiter))
    assert draft.is_right
    assert stored(draft) == (600, 60, 24)


def test_decimal_commas_are_read():
    draft = read("Part;Species;Length;Width;Thickness\nrail;oak-white;600,5;60;24,25\n")
    assert stored(draft) == (Decimal("600.5"), 60, Decimal("24.25"))


def test_a_point_may_mean_thousands_where_commas_are_decimal():
    draft = read("Part;Species;Length;Width;Thickness\nrail;oak-white;1.200;60,5;24\n")
    assert "1.200 may mean thousands or thousandths" in messages(draft)[2, "length_mm"]


def test_an_unquoted_decimal_comma_is_said_in_its_row():
    draft = read("Part,Species,Length,Width,Thickness\nrail,oak-white,600,60,24,5\n")
    assert not draft.is_right
    assert draft.rows[0].message.startswith("This row has more cells than there are headings")


def test_inches_and_fractions_are_read():
    text = (
        "Part;Species;Length in;Width (inches);Thickness (in)\nrail;oak-white;2' 6\";1 3/16;3/4\n"
    )
    assert stored(read(text)) == (762, Decimal("30.162"), Decimal("19.05"))


def test_bare_lengths_are_in_the_workshops_unit():
    text = "Part;Species;Length;Width;Thickness\nrail;oak-white;30;2 1/2;3/4\n"
    assert stored(read(text, unit="inch")) == (762, Decimal("63.5"), Decimal("19.05"))


def test_the_heading_says_the_unit_of_bare_lengths():
    text = "Part;Species;Length (m);Width cm;Thickness [mm]\nrail;oak-white;1.2;6;24\n"
    assert stored(read(text, unit="inch")) == (1200, 60, 24)


def test_bare_lengths_in_a_column_of_both_units_are_marked():
    draft = read(
        'Part;Species;Length;Width;Thickness\na;oak-white;600;60;24\nb;oak-white;23 5/8";60;24\n'
    )
    assert messages(draft) == {
        (2, "length_mm"): "This column mixes inches and millimetres; write the unit beside this"
        ' length, as 600 mm or 600".'
    }


def test_both_units_are_read_where_each_cell_states_its_own():
    draft = read(
        'Part;Species;Length;Width;Thickness\na;oak-white;600 mm;60;24\nb;oak-white;10";60;24\n'
    )
    assert draft.is_right
    frame = add_assembly(an_enquiry(), name="Frame")
    assert [part.length_mm for part in store(frame, draft, by=None)] == [600, 254]


@pytest.mark.parametrize(
    ("column", "value", "sentence"),
    [
        ("name", "", "Give a name."),
        ("species", "", "Give a species."),
        ("species", "moonwood", "There is no species 'moonwood' in the table."),
        ("length_mm", "0", "Give the length between 0.5 and 20,000 mm."),
        ("length_mm", "-5", "-5 is not a length"),
        ("length_mm", "99999", "Give the length between 0.5 and 20,000 mm."),
        ("length_mm", "", "Give a length."),
        pytest.param("length_mm", "1" * 100_000, "111… is not a length", id="endless length"),
        pytest.param("species", "oak " * 30_000, "Shorten a species to 40", id="endless name"),
        ("length_mm", "1,200", "1,200 may mean thousands or thousandths"),
        ("width_mm", "wide", "wide is not a length"),
        ("thickness_mm", "3/4", "A fraction is read in inches"),
        ("quantity", "0", "Give a quantity between 1 and 9,999."),
        ("quantity", "10000", "Give a quantity between 1 and 9,999."),
        ("quantity", "two", "Give a quantity as a whole number."),
        ("quantity", "2,5", "Give a quantity as a whole number."),
        ("grain", "sideways", "Choose the grain from length, width."),
        ("mark", "MUCHTOOLONG", "Shorten the mark to 8 characters"),
        ("name", "=1+1", "This cell is a formula; paste its value instead."),
    ],
)
def test_every_bad_cell_is_marked_and_nothing_is_stored(column, value, sentence):
    cells = dict(
        zip(
            (
                "mark",
                "name",
                "species",
                "length_mm",
                "width_mm",
                "thickness_mm",
                "quantity",
                "grain",
            ),
            ("A1", "rail", "oak-white", "600", "60", "24", "2", "length"),
            strict=True,
        )
    )
    cells[column] = value
    draft = read("Mark;Part;Species;Length;Width;Thickness;Qty;Grain\n" + ";".join(cells.values()))
    assert list(messages(draft)) == [(2, column)]
    assert sentence in messages(draft)[2, column]
    assert draft.fault_count == 1
    with pytest.raises(RuleBroken) as caught:
        store(add_assembly(an_enquiry(), name="Frame"), draft, by=None)
    assert caught.value.field == f"rows/0/{column}"
    assert not Part.objects.exists()


def test_a_mark_that_stands_twice_is_marked():
    draft = read(f"{HEADINGS}\n{ROW}\n{ROW}\n")
    assert "already has a part A1" in messages(draft)[3, "mark"]


def test_parts_without_a_mark_get_one_that_no_other_row_has():
    draft = read("Mark;Part;Species;Length;Width;Thickness\n;a;teak;9;9;9\nP1;b;teak;9;9;9\n")
    frame = add_assembly(an_enquiry(), name="Frame")
    assert [part.mark for part in store(frame, draft, by=None)] == ["P2", "P1"]


def test_a_mark_of_the_assembly_is_found_when_storing():
    frame = add_assembly(an_enquiry(), name="Frame")
    a_rail(frame, mark="A1")
    with pytest.raises(RuleBroken, match="already has a part A1") as caught:
        store(frame, read(f"{HEADINGS}\n{ROW}"), by=None)
    assert caught.value.field == "rows/0/mark"


def test_storing_checks_the_draft_again():
    draft = read(f"{HEADINGS}\n{ROW}")
    forged = unpack(pack(draft).replace('"60"', '"0"'))
    with pytest.raises(RuleBroken, match=r"Give the width between 0\.5 and 20,000 mm\."):
        store(add_assembly(an_enquiry(), name="Frame"), forged, by=None)


def test_a_frozen_breakdown_takes_no_list():
    commission = an_enquiry()
    frame = a_frame(commission)
    release(accepted(commission), by=None)
    with pytest.raises(NotNow, match="its breakdown is frozen"):
        store(frame, read(f"{HEADINGS}\n{ROW}"), by=None)


def test_a_packed_draft_is_unpacked_as_it_was():
    draft = read(f'{HEADINGS},Colour\n{ROW},red\nA2,=1,oak,0,60,24",2,,,\n')
    assert unpack(pack(draft)) == draft


@pytest.mark.parametrize("text", ["", "[]", "{}", "[1,2,3,4,5]", '["a","mm",[],[],[]]'])
def test_a_lost_preview_is_said(text):
    with pytest.raises(RuleBroken) as caught:
        unpack(text)
    assert caught.value.field == "file"


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "The file is empty."),
        (b"Part,Species,Length,Width\nrail,teak,1,2\n", "No column is headed thickness;"),
        (b"1,2,3\n4,5,6\n", "No column is headed part or"),
        (f"{HEADINGS}\n".encode(), "There is no part below the headings."),
        (f"{HEADINGS},Len\n{ROW},7\n".encode(), "The columns Length and Len both give the length;"),
        (b"\xd0\xcf\x11\xe0old", "This is an old workbook; save it as .xlsx or as CSV."),
        (b"PK\x03\x04nonsense", "The workbook cannot be read; save it again as .xlsx"),
        (b"x" * 5_000_001, "The file is larger than 5 MB; divide it."),
    ],
)
def test_a_file_that_is_no_list_is_refused(data, sentence):
    assert sentence in refusal(data)


def test_a_zip_that_is_no_workbook_is_refused():
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as parts:
        parts.writestr("[Content_Types].xml", "<a>")
    assert "The workbook cannot be read" in refusal(file.getvalue())


def test_a_zip_bomb_is_refused_before_it_is_unpacked():
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as parts:
        parts.writestr("xl/worksheets/sheet1.xml", b" " * 101_000_000)
    assert "larger than 100 MB unpacked" in refusal(file.getvalue())


def test_a_workbook_is_read_with_numbers_and_text():
    draft = read_cutting_list(
        "list.xlsx",
        workbook(
            ["Part", "Species", "Length", "Width", "Thickness", "Qty"],
            ["rail", "oak-white", 600.5, 60, "3/4 in", 2.0],
            [],
            ["stile", "oak-white", "900", 48, "24 mm", None],
        ),
        unit="mm",
    )
    assert [row.line for row in draft.rows] == [2, 4]
    assert messages(draft) == {}
    assert stored(draft) == (Decimal("600.5"), 60, Decimal("19.05"))


def test_formula_date_and_error_cells_are_marked():
    draft = read_cutting_list(
        "list.xlsx",
        workbook(
            ["Part", "Species", "Length", "Width", "Thickness", "Note"],
            ["rail", "oak-white", "=B2*2", date(2026, 3, 4), 24, "#REF!"],
        ),
        unit="mm",
    )
    said = messages(draft)
    assert said[2, "length_mm"] == "This cell is a formula; paste its value instead."
    assert said[2, "width_mm"] == 'This cell is a date; type a fraction as text, as 3/4".'
    assert said[2, "note"] == "This cell is an error; type its value instead."


def words(most):
    letters = st.characters(codec="utf-8", exclude_categories=["C", "Z"])
    return st.text(st.sampled_from("=+-@'\"_x0041ab;,é") | letters, min_size=1, max_size=most)


def part_lists(lengths):
    """Lists of parts with sizes of these lengths."""
    return st.lists(
        st.fixed_dictionaries(
            {
                "name": words(20),
                "species": st.sampled_from(sorted(all_species())),
                "length_mm": lengths,
                "width_mm": lengths,
                "thickness_mm": lengths,
                "quantity": st.integers(1, 9_999),
                "grain": st.sampled_from(["length", "width"]),
                "note": words(20) | st.just(""),
            }
        ),
        min_size=1,
        max_size=4,
    )


THOUSANDTHS = st.integers(500, 20_000_000).map(lambda number: Decimal(number) / 1000)
SIXTY_FOURTHS = st.integers(2, 50_000).map(lambda number: round(number * Decimal("25.4") / 64, 3))
KEPT = (
    "mark",
    "name",
    "species",
    "length_mm",
    "width_mm",
    "thickness_mm",
    "quantity",
    "grain",
    "note",
)


@pytest.mark.parametrize("write", [write_csv, write_xlsx])
@pytest.mark.parametrize(("unit", "lengths"), [("mm", THOUSANDTHS), ("inch", SIXTY_FOURTHS)])
@settings(max_examples=25, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_what_is_written_is_read_back(write, unit, lengths, data):
    parts = data.draw(part_lists(lengths))
    commission = an_enquiry(a_workshop(unit=unit))
    frame = add_assembly(commission, name="=Frame")
    Part.objects.bulk_create(
        Part(assembly=frame, mark=f"P{place}", **part) for place, part in enumerate(parts)
    )
    draft = read_cutting_list("list", write(commission), unit=LengthUnit.MM)
    assert messages(draft) == {}
    other = add_assembly(commission, name="Other")
    store(other, draft, by=None)
    assert list(other.parts.values_list(*KEPT)) == list(frame.parts.values_list(*KEPT))


def test_no_cell_that_is_written_is_taken_for_a_formula():
    commission = an_enquiry()
    a_rail(add_assembly(commission, name="@SUM(1)"), name="=HYPERLINK(1)", note="+1")
    assert b"'=HYPERLINK(1)" in write_csv(commission)
    sheet = load_workbook(io.BytesIO(write_xlsx(commission))).active
    assert [cell.data_type for cell in sheet[2]].count("f") == 0
    assert sheet["A2"].value == "'@SUM(1)"


def test_one_assembly_may_be_written_alone():
    commission = an_enquiry()
    frame, door = (add_assembly(commission, name=name) for name in ("Frame", "Door"))
    a_rail(frame, name="stretcher")
    a_rail(door, name="panel")
    assert b"panel" in write_csv(commission)
    assert b"panel" not in write_csv(commission, frame)


def test_a_long_list_is_stored_in_few_queries(django_assert_max_num_queries):
    rows = "\n".join(f"Q{number},rail,oak-white,600,60,24,2,length," for number in range(2_000))
    draft = read(f"{HEADINGS}\n{rows}")
    frame = add_assembly(an_enquiry(), name="Frame")
    with django_assert_max_num_queries(40):
        assert len(store(frame, draft, by=None)) == 2_000


def test_several_bad_cells_come_together():
    draft = read(f"{HEADINGS}\nA1,,oak,0,60,24,2,,\n")
    with pytest.raises(RulesBroken) as caught:
        store(add_assembly(an_enquiry(), name="Frame"), draft, by=None)
    assert len(caught.value.errors) == 3
