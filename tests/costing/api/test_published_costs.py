"""Published worked examples of job costing, reproduced by what a program may ask.

Source of all but the machine hour: Heisinger & Hoyle, Accounting for Managers, at the sections
named. Figures are checked as they are printed there.
"""

import json
from decimal import Decimal

import pytest

from costing.services.calculators import CALCULATORS

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(program):
    """The answer of a calculator to a document."""

    def ask(name, document):
        answer = program.post(f"calculate/{name}/", document)
        assert answer.status_code == 200, answer.content
        return json.loads(answer.content, parse_float=Decimal)

    return ask


def amounts(of):
    return {name: float(amount) for name, amount in of.items()}


def test_the_overhead_rate_of_the_furniture_maker(asked):
    """Section 2.3: 1,140,000 over 38,000 direct labour hours is 30 an hour."""
    document = {"currency": "USD", "overhead": {"amount": "1140000", "base": "38000"}}

    assert float(asked("costs", document)["overhead_rate"]) == 30


def job(*, material, hours, rate, overhead, share="0"):
    """A job sheet as a document: one requisition, one operation, overhead on labour hours."""
    return {
        "commission": "Job",
        "currency": "USD",
        "assemblies": [{"key": "t", "label": "Table"}],
        "operations": [
            {
                "key": "make",
                "label": "Make it",
                "assembly": "t",
                "skill": "joinery",
                "each_min": hours * 60,
                "spread": 0,
            }
        ],
        "extras": [
            {"key": "205", "label": "Requisition", "unit_price": str(material), "assembly": "t"}
        ],
        "order_spread": 0,
        "rates": {
            "edition": 1,
            "currency": "USD",
            "labour": {"joinery": str(rate)},
            "overhead": {"rate": str(overhead)},
            "profit": {"basis": "markup", "share": share},
        },
    }


def test_the_job_sheet_of_the_dining_table(asked):
    """Sections 2.2 and 2.3, figures 2.2 to 2.6: 370, 6 h at 15, overhead at 30 an hour; 640."""
    said = asked("estimate", job(material=370, hours=6, rate=15, overhead=30))

    lines = {line["key"]: float(line["amount"]) for line in said["lines"]}
    assert lines == {"sundries": 370, "labour": 90, "overhead": 180}
    assert float(said["cost"]) == 640


@pytest.mark.parametrize(
    ("material", "labour", "overhead", "price", "profit"),
    [
        (1500, 3300, 6000, 18360, 7560),
        (2800, 4500, 8600, 27030, 11130),
        (1100, 2400, 4300, 13260, 5460),
    ],
)
def test_jobs_priced_at_a_markup_of_70_per_cent(asked, material, labour, overhead, price, profit):
    """Section 2.5, figure 2.10, jobs 40, 44 and 45 as estimated; a markup of 70 % is 41.18 %."""
    sheet = job(
        material=material,
        hours=100,
        rate=Decimal(labour) / 100,
        overhead=Decimal(overhead) / 100,
        share="0.70",
    )

    said = asked("estimate", sheet)

    assert (float(said["net"]), float(said["profit"])) == (price, profit)
    assert (float(said["markup"]), float(said["margin"])) == (0.70, 0.4118)


@pytest.mark.parametrize(
    ("material", "labour", "overhead", "profit", "share"),
    [
        (3500, 3800, 6200, 4860, 36),
        (3800, 4700, 8900, 9630, 55),
        (2500, 2300, 4100, 4360, 49),
    ],
)
def test_what_the_same_jobs_really_earned(asked, material, labour, overhead, profit, share):
    """The same figure, actual cost at the price that was asked: profit, and per cent of cost."""
    price = material + labour + overhead + profit
    sheet = job(
        material=material,
        hours=100,
        rate=Decimal(labour) / 100,
        overhead=Decimal(overhead) / 100,
    ) | {"pricing": {"basis": "hand", "net": str(price)}}

    said = asked("estimate", sheet)

    assert float(said["profit"]) == profit
    assert round(float(said["markup"]) * 100) == share


def test_variances_and_which_are_worth_a_look(asked):
    """Sections 10.2 to 10.8; above zero is unfavourable, and the limit of 10 % is inclusive."""
    said = asked("costs", CALCULATORS["costs"].example())["variances"]

    assert {name: amounts(pair["parts"]) for name, pair in said.items()} == {
        "labour": {"rate": 37_800, "efficiency": -27_300},
        "material": {"price": 88_000, "usage": -21_000},
        "variable_overhead": {"spending": 5_500, "efficiency": -10_500},
        "fixed_overhead": {"spending": -4_280, "volume": -6_720},
    }
    assert float(said["labour"]["total"]) == 10_500
    assert {name: pair["worth_a_look"] for name, pair in said.items()} == {
        "labour": ["rate", "efficiency"],
        "material": ["price"],
        "variable_overhead": ["efficiency"],
        "fixed_overhead": [],
    }


@pytest.mark.parametrize(
    ("more", "units", "sales"), [({}, 500, 125_000), ({"profit": "30000"}, 800, 200_000)]
)
def test_break_even_and_a_target_profit(asked, more, units, sales):
    """Section 6.1: 250 a unit, 150 variable, 50,000 fixed; a margin of safety of 200 at 700."""
    pieces = {"fixed": "50000", "price": "250", "variable": "150", "sold": "700", **more}

    said = asked("costs", {"currency": "USD", "pieces": pieces})["break_even"]

    assert (float(said["units"]), float(said["sales"]), float(said["ratio"])) == (units, sales, 0.4)
    if not more:
        assert (float(said["safety"]), float(said["safety_sales"])) == (200, 50_000)


def test_a_machine_hour_from_its_parts(asked):
    """Own arithmetic: wear 1.20, current 0.45, and 1,350 a year over 900 hours."""
    machine = {
        "purchase": "14000",
        "residual": "2000",
        "life_h": "10000",
        "hours_run": "900",
        "interest": "400",
        "upkeep": "250",
        "insurance": "100",
        "floor_m2": "10",
        "rent_per_m2": "60",
        "power_kw": "3",
        "load": "0.5",
        "tariff_per_kwh": "0.30",
    }

    said = asked("costs", {"currency": "EUR", "machine": machine})["machine_hour"]

    assert said["amount"] == "3.15"
    assert sum(Decimal(part["amount"]) for part in said["children"]) == Decimal("3.15")


@pytest.mark.parametrize(
    ("part", "pointer"),
    [
        ({"profit": {"basis": "margin", "share": "1"}}, "#/profit/share"),
        ({"overhead": {"amount": "1", "base": "0"}}, "#/overhead/base"),
        ({"pieces": {"fixed": "1", "price": "1", "variable": "1"}}, "#/pieces/price"),
        (
            {"fixed_overhead": {"actual": "-1", "budget": "0", "applied": "0"}},
            "#/fixed_overhead/actual",
        ),
        (
            {"machine": {"purchase": "1", "residual": "0", "life_h": "0", "hours_run": "1"}},
            "#/machine/life_h",
        ),
    ],
)
def test_figures_that_cannot_be_are_pointed_at(program, part, pointer):
    refused = program.post("calculate/costs/", {"currency": "EUR", **part})

    assert refused.status_code == 400
    assert [fault["pointer"] for fault in refused.json()["errors"]] == [pointer]


@pytest.mark.parametrize(
    ("asked", "answer"),
    [
        (
            {"mean_min": 18.75, "rating": 0.96, "allowance": 0.15, "allowance_of": "shift"},
            {"normal_min": 18.0, "standard_min": 21.18},
        ),
        ({"mean_min": 18.75, "rating": 0.96, "allowance": 0.15}, {"standard_min": 20.70}),
        ({"mean_min": 6.4, "sd_min": 2.1, "within_share": 0.10}, {"observations": 42}),
        ({"mean_min": 6.4, "sd_min": 2.1, "within_min": 0.5}, {"observations": 68}),
    ],
)
def test_a_time_study_comes_to_what_the_textbook_says(program, asked, answer):
    """Stevenson, Operations Management, chapter 7: solved problem, equations 7-1 and 7-2."""
    found = program.post("calculate/study/", asked).json()

    for name, value in answer.items():
        assert found[name] == pytest.approx(value, abs=0.005), name


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"mean_min": 0}, "mean_min"),
        ({"mean_min": 5, "allowance": 1, "allowance_of": "shift"}, "allowance"),
        ({"mean_min": 5, "confidence": 1}, "confidence"),
        ({"mean_min": 5, "sd_min": 5, "within_min": 1e-6}, "within_min"),
    ],
)
def test_a_study_that_cannot_be_is_refused_by_its_field(program, wrong, field):
    refused = program.post("calculate/study/", wrong)

    assert refused.status_code == 400
    assert refused.json()["errors"][0]["pointer"] == f"#/{field}"
