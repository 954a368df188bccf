"""The job sheet on paper."""

import re
from decimal import Decimal

import pytest
import segno

from costing.documents.codes import QUIET_MODULES, qr_svg
from costing.documents.job_sheet import job_sheets_pdf
from costing.models import Glue
from costing.services.job_sheets import job_sheets
from tests.builders import a_joint, a_part
from tests.costing.documents.reading import alternatives, opened, pages, prose, words
from tests.costing.documents.samples import ON, a_bench, address, released

pytestmark = pytest.mark.django_db


def sheets_of(bench, **more) -> bytes:
    return job_sheets_pdf(job_sheets(bench, ON, address, **more))


def frame_of(bench):
    return bench.assemblies.get(name="Seat frame")


def modules_of(svg: str) -> set[tuple[int, int]]:
    """The dark modules that a symbol's path draws, as row and column within its quiet zone."""
    (data,) = re.findall(r' d="([^"]+)"', svg)
    found, x, y = set(), 0.0, 0.0
    for letter, text in re.findall(r"([Mmh])([^Mmh]*)", data):
        numbers = [float(number) for number in re.findall(r"-?[\d.]+", text)]
        if letter == "M":
            x, y = numbers
        elif letter == "m":
            x, y = x + numbers[0], y + numbers[1]
        else:
            row = int(y - 0.5) - QUIET_MODULES
            found |= {(row, int(x) - QUIET_MODULES + i) for i in range(int(numbers[0]))}
            x += numbers[0]
    return found


def test_one_assembly_has_its_parts_joints_and_operations():
    bench = released(a_bench())
    said = words(sheets_of(bench, assembly=frame_of(bench).pk))
    for text in ("Seat frame", "within Hall bench", "P1", "leg", "720", "70", "45", "seat rail"):
        assert text in said, text
    assert re.search(r"J1 Mortise and tenon\s+8 of, by machine", said)
    assert re.search(r"J2 Dowel\s+2 of, by hand", said)
    assert "tenon thickness 16 mm" in said
    assert "Job sheet 2 of 2" in said
    assert "P9" not in said


def test_every_joint_is_drawn_apart_and_in_two_views():
    bench = released(a_bench())
    said = alternatives(sheets_of(bench, assembly=frame_of(bench).pk))
    assert sum(text.startswith("Exploded isometric") for text in said) == 2
    assert sum(text.startswith("Front view") for text in said) == 2
    assert sum(text.startswith("Section from above") for text in said) == 2


def test_operations_stand_in_working_order_with_minutes_station_and_skill():
    bench = released(a_bench())
    frame = frame_of(bench)
    said = words(sheets_of(bench, assembly=frame.pk))
    operations = list(frame.operations.order_by("number"))
    places = [said.index(operation.mark) for operation in operations]
    assert places == sorted(places)
    first = operations[0]
    line = next(line for line in said.splitlines() if first.mark in line or first.name in line)
    assert str(first.pieces) in line
    assert f"{first.minutes:.0f}" in line
    assert first.skill in said


def test_every_operation_has_a_code_that_opens_its_clock_page():
    bench = released(a_bench())
    said = alternatives(sheets_of(bench))
    for operation in bench.operations.all():
        assert f"Code that opens the clock page of {operation.mark}" in said


def test_a_code_is_the_symbol_of_its_address():
    symbol = segno.make_qr(address(17), error="m")
    dark = {
        (row, column)
        for row, line in enumerate(symbol.matrix)
        for column, module in enumerate(line)
        if module
    }
    assert modules_of(qr_svg(address(17), "Code")) == dark
    assert modules_of(qr_svg(address(18), "Code")) != dark


def test_before_the_release_it_has_the_standard_operations_and_no_codes():
    bench = a_bench()
    paper = sheets_of(bench)
    said = words(paper)
    assert "Not released yet." in said
    assert "Cut the mortise, J1" in said
    assert not any(text.startswith("Code") for text in alternatives(paper))
    assert "Not released yet." not in words(sheets_of(released(bench)))


def test_the_glue_is_that_of_the_rack_with_its_times():
    bench = a_bench()
    Glue.objects.filter(durability_class="D1").update(name="Cabin glue", open_min=7, clamp_min=33)
    said = words(sheets_of(bench, assembly=frame_of(bench).pk))
    assert "Cabin glue, class D1" in said
    assert "open 7 min, clamps 33 min" in said


def test_without_a_glue_in_the_rack_it_names_the_class():
    bench = a_bench()
    Glue.objects.all().delete()
    said = prose(sheets_of(bench, assembly=frame_of(bench).pk))
    assert "any of class D1; none is in the rack" in said


def test_what_is_not_glued_says_so():
    bench = a_bench()
    whole = bench.assemblies.get(name="Hall bench")
    assert "nothing is glued" in words(sheets_of(bench, assembly=whole.pk))


def test_cautions_of_its_work_are_on_it():
    bench = released(a_bench())
    said = prose(sheets_of(bench, assembly=frame_of(bench).pk))
    assert "Take care" in said
    assert "Guards and riving knife in place" in said
    assert "licensed person" in said


def test_lengths_are_in_the_unit_of_the_workshop():
    bench = a_bench(unit="inch")
    frame = frame_of(bench)
    frame.parts.filter(mark="P1").update(length_mm=Decimal("914.4"))
    said = words(sheets_of(bench, assembly=frame.pk))
    assert "long, in" in said
    assert '36"' in said
    assert 'tenon thickness 5/8"' in said


def test_there_is_no_money_on_it():
    bench = released(a_bench())
    said = words(sheets_of(bench))
    for word in ("EUR", "€", "3000", "price", "rate"):
        assert word not in said.replace("separate", ""), word


def test_each_assembly_counts_its_own_pages():
    bench = released(a_bench())
    found = sheets_of(bench)
    assert str(opened(found).docinfo["/Title"]) == "0417 job sheets, Oak hall bench"
    firsts = [text for text in pages(found) if re.search(r"\b1 of \d\b", text.splitlines()[-1])]
    assert len(firsts) == 2


def test_sixty_joints_and_two_hundred_parts_are_all_there():
    bench = a_bench()
    frame = frame_of(bench)
    leg, rail = frame.parts.all()
    for number in range(3, 63):
        a_joint(frame, mark=f"J{number}", part_a=leg, part_b=rail)
    for number in range(3, 203):
        a_part(frame, mark=f"P{number}", name="slat " + "of a long name " * 7)
    found = pages(sheets_of(bench, assembly=frame.pk))
    said = "\n".join(found)
    for number in range(1, 63):
        assert re.search(rf"\bJ{number} (Mortise|Dowel)", said)
    for number in range(1, 203):
        assert re.search(rf"\bP{number}\b", said)
    heads = [text for text in found if "slat" in text and "thick" not in text]
    assert not heads
    assert all(f"{number} of {len(found)}" in text for number, text in enumerate(found, 1))
