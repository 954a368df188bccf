"""How long each paper takes and how much memory; figures, not tests.

    python -m shop shell -c "from tests.benchmarks.papers import main; main()"

Each paper is printed in a process of its own: once cold, then again, and the greatest memory of
the process is told. The rows stand in a test database that is made and thrown away.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from resource import RUSAGE_SELF, getrusage
from time import perf_counter

from django.db import connections, transaction
from django.test.runner import DiscoverRunner

from costing.documents.cutting_list import cutting_list_pdf
from costing.documents.day_sheet import day_sheets_pdf
from costing.documents.job_sheet import job_sheets_pdf
from costing.documents.quotation import quotation_pdf
from costing.documents.wall_chart import wall_chart_pdf
from costing.services.job_sheets import job_sheets
from costing.services.papers import shop_of
from costing.services.sawing import cutting_list
from costing.services.wall import wall
from orders.models import Commission
from shop.models import Hand
from shop.services.days import day_sheet
from tests.builders import a_joint, a_part
from tests.costing.documents.reading import opened
from tests.costing.documents.samples import (
    NOW,
    ON,
    a_bench,
    a_planned_shop,
    a_quotation,
    address,
    released,
)


def a_great_bench() -> Commission:
    """Sixty joints, each of its own length, and two hundred parts."""
    bench = a_bench()
    frame = bench.assemblies.get(name="Seat frame")
    leg, rail = frame.parts.all()
    for number in range(3, 61):
        a_joint(
            frame,
            mark=f"J{number}",
            part_a=leg,
            part_b=rail,
            dimensions={"tenon_length_mm": 30 + number / 10},
        )
    for number in range(3, 201):
        a_part(frame, mark=f"P{number}")
    return bench


def a_job(bench: Commission) -> Callable[[], bytes]:
    """Its job sheets, once it is released."""
    released(bench)
    return lambda: job_sheets_pdf(job_sheets(bench, ON, address))


def days() -> Callable[[], bytes]:
    """The day of two hands with twenty pieces of work each in a week."""
    plan = a_planned_shop(stations=6, orders=40)
    hands = Hand.objects.of(plan.workshop).select_related("workshop")
    return lambda: day_sheets_pdf(
        [day_sheet(hand, ON) for hand in hands], shop_of(plan.workshop), address
    )


def walls(stations: int, orders: int) -> Callable[[], bytes]:
    """The week of a shop of that size."""
    plan = a_planned_shop(stations=stations, orders=orders)
    return lambda: wall_chart_pdf(wall(plan, ON, now=NOW))


def sawing(bench: Commission) -> Callable[[], bytes]:
    """Its cutting list."""
    return lambda: cutting_list_pdf(cutting_list(bench, ON))


PAPERS: Mapping[str, Callable[[], Callable[[], bytes]]] = {
    "quotation, 3 items": lambda: lambda: quotation_pdf(a_quotation(3)),
    "quotation, 200 items": lambda: lambda: quotation_pdf(a_quotation(200)),
    "job sheets, a bench": lambda: a_job(a_bench()),
    "job sheets, 60 joints, 200 parts": lambda: a_job(a_great_bench()),
    "cutting list, 3 parts": lambda: sawing(a_bench()),
    "cutting list, 200 parts": lambda: sawing(a_great_bench()),
    "day sheets, 2 hands": days,
    "wall chart, 6 stations": lambda: walls(6, 30),
    "wall chart, 40 stations": lambda: walls(40, 200),
}


def measured(name: str) -> str:
    """Print one paper twice and say what it took."""
    with transaction.atomic():
        printing = PAPERS[name]()
        seconds = []
        for _ in range(2):
            began = perf_counter()
            paper = printing()
            seconds.append(perf_counter() - began)
        transaction.set_rollback(True)
    sheets = len(opened(paper).pages)
    memory = getrusage(RUSAGE_SELF).ru_maxrss / 1024
    return (
        f"{name:<34}{sheets:>4} pages{seconds[0]:>8.2f} s{seconds[1]:>8.2f} s again"
        f"{1000 * seconds[1] / sheets:>7.0f} ms a page{memory:>7.0f} MB{len(paper) / 1024:>8.0f} kB"
    )


def main() -> None:
    """One line for each paper."""
    runner = DiscoverRunner(verbosity=0, interactive=False)
    made = runner.setup_databases()
    connections.close_all()
    try:
        for name in PAPERS:
            with ProcessPoolExecutor(1, mp_context=get_context("fork")) as pool:
                print(pool.submit(measured, name).result(), flush=True)
    finally:
        runner.teardown_databases(made)
