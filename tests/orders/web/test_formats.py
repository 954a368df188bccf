"""How values are written on sheets."""

from datetime import UTC, date, datetime
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.template import Context, Template

from orders.web import formats

MM = SimpleNamespace(unit="mm")
INCH = SimpleNamespace(unit="inch")
LEG = SimpleNamespace(
    thickness_mm=Decimal("45.000"), width_mm=Decimal("70.000"), length_mm=Decimal("720.000")
)


def plain(text):
    """The text with every kind of space as a plain one."""
    return text.replace(formats.STUCK, " ").replace(formats.THIN, " ")


def test_a_size_is_thickness_width_length_without_idle_zeros():
    assert plain(formats.size(LEG, MM)) == "45 × 70 × 720"


def test_an_inch_workshop_reads_inches():
    assert formats.length(Decimal("30.1625"), INCH) == '1 3/16"'


def test_what_is_no_fraction_of_an_inch_is_shown_to_a_thousandth():
    assert formats.length(Decimal("45"), INCH) == '1.772"'


def test_a_float_length_shows_no_noise():
    assert formats.length(0.1 + 0.2, MM) == "0.3"


@pytest.mark.parametrize(
    ("value", "currency", "written"),
    [
        (Decimal("1743.01"), "EUR", "€ 1 743.01"),
        (Decimal("1065.95"), "", "1 065.95"),
        (Decimal("1234567"), "JPY", "¥ 1 234 567"),
        (Decimal("-0.5"), "", "−0.50"),
        (None, "EUR", ""),
    ],
)
def test_money_is_grouped_by_narrow_spaces(value, currency, written):
    assert plain(formats.money(value, currency)) == written


def test_halves_of_a_tenth_are_rounded_up():
    assert formats.minutes(47.65) == "47.7"


def test_hours_come_from_minutes():
    assert formats.hours(150) == "2.5"
    assert plain(formats.duration(150)) == "2.5 h"
    assert plain(formats.duration(119.4)) == "119 min"


def test_days_are_short_and_in_english():
    assert formats.day(date(2026, 4, 16)) == "Thu 16 Apr"
    assert formats.full_day(date(2026, 4, 6)) == "6 Apr 2026"


def test_an_instant_is_written_on_the_day_it_has_here(settings):
    from django.utils import timezone

    with timezone.override("Pacific/Auckland"):
        assert formats.day(datetime(2026, 4, 16, 20, tzinfo=UTC)) == "Fri 17 Apr"


def test_a_share_is_in_per_cent():
    assert plain(formats.share(Decimal("0.22"))) == "22 %"


def test_areas_and_volumes_change_unit():
    assert formats.area_cm2(7000.0) == "70.0"
    assert formats.volume_cm3(54_600) == "54.6"
    assert formats.volume_m3(0.1184) == "0.118"


@pytest.mark.parametrize(
    ("due", "stage", "late"),
    [
        (date(2026, 4, 10), "in-work", 6),
        (date(2026, 4, 20), "in-work", 0),
        (date(2026, 4, 10), "delivered", 0),
        (None, "in-work", 0),
    ],
)
def test_open_work_is_late_by_whole_days(due, stage, late):
    commission = SimpleNamespace(due_on=due, stage=stage)
    assert formats.days_late(commission, date(2026, 4, 16)) == late


def test_a_noun_follows_its_count():
    assert plain(formats.counted(1, "assembly,assemblies")) == "1 assembly"
    assert plain(formats.counted(3, "part")) == "3 parts"


def test_templates_need_no_load():
    drawn = Template("{{ part|size:workshop }} {{ n|mark }}").render(
        Context({"part": LEG, "workshop": MM, "n": 88})
    )
    assert plain(drawn) == "45 × 70 × 720 0088"


def test_the_length_of_a_list_is_still_its_number():
    assert Template("{{ rows|length }}").render(Context({"rows": [1, 2, 3]})) == "3"
