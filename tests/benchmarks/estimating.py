"""How long an estimate takes of 500 parts and 500 joints; figures, not tests.

    python -m shop shell -c "from tests.benchmarks.estimating import main; main()"

The core runs on values alone; the service, the page and the API read a test database that is made
and thrown away. As a rival, in the same run: an estimate of one number, a sum of minutes at rates
in floats, which unfolds to nothing. A loop of known size tells how busy the machine was. Each
figure is the median of many turns on one core, caches warm as they are while somebody types, and
the first turn beside it.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from statistics import median
from time import process_time

from django.conf import settings
from django.db import connection
from django.test import Client
from django.test.runner import DiscoverRunner
from django.test.utils import CaptureQueriesContext, override_settings

from costing.core.estimate import Estimate, estimate
from costing.core.pricing import PriceBasis, Pricing
from costing.services.estimating import Basis, basis_for, priced_ways
from orders.models import Commission, Joint, Part
from shop.services.tokens import make_token
from tests.builders import a_commission, a_member, a_shop_that_can_price, an_assembly

PARTS = JOINTS = 500
ASSEMBLIES, TURNS = 25, 9
TYPES = ("mortise-tenon", "corner-halving", "dowel", "through-dovetail", "mitre")
LIMITS_MS = {"core": 100.0, "API": 300.0}
TODAY = date(2026, 3, 2)


def a_great_commission() -> Commission:
    """Twenty-five assemblies of twenty parts and twenty joints, no two joints of one size."""
    commission = a_commission(a_shop_that_can_price())
    for number in range(ASSEMBLIES):
        assembly = an_assembly(commission, name=f"Frame {number}", quantity=1 + number % 4)
        parts = Part.objects.bulk_create(
            Part(
                assembly=assembly,
                mark=f"P{place}",
                name="rail",
                species="oak-white",
                length_mm=400 + 7 * number + place,
                width_mm=60,
                thickness_mm=20 + number % 5,
                quantity=1 + place % 3,
            )
            for place in range(PARTS // ASSEMBLIES)
        )
        Joint.objects.bulk_create(
            Joint(
                assembly=assembly,
                mark=f"J{place}",
                type=TYPES[place % len(TYPES)],
                part_a=parts[place],
                part_b=parts[(place + 1) % len(parts)],
                count=1 + place % 4,
                method="machine" if place % 2 else "hand",
            )
            for place in range(JOINTS // ASSEMBLIES)
        )
    return commission


def one_number(basis: Basis) -> float:
    """The rival: minutes at rates in floats, and nothing to unfold."""
    made = {assembly.key: assembly.quantity for assembly in basis.commission.assemblies}
    labour = {skill: float(rate) for skill, rate in basis.rates.labour.items()}
    machine = {kind: float(rate) for kind, rate in basis.rates.machine.items()}
    total = 0.0
    for line in basis.commission.operations:
        minutes = line.setup_min + line.each_min * line.count * made[line.assembly]
        total += minutes * (labour[line.skill] + machine.get(line.station_kind, 0.0)) / 60
    return total


def timed(work: Callable[[], object]) -> tuple[float, float]:
    """Milliseconds of processor time: the first turn, and the median of the others."""
    turns = []
    for _ in range(TURNS + 1):
        start = process_time()
        work()
        turns.append(1000 * (process_time() - start))
    return turns[0], median(turns[1:])


def told(name: str, first: float, usual: float, limit: float | None = None) -> None:
    """One line of the report."""
    said = f"  limit {limit:.0f} ms: {'kept' if usual <= limit else 'MISSED'}" if limit else ""
    print(f"{name:<46} first {first:8.1f} ms   then {usual:8.1f} ms{said}")


def report() -> None:
    """Print every figure."""
    commission = a_great_commission()
    workshop = commission.workshop
    start = process_time()
    basis = basis_for(commission, TODAY)
    cold = 1000 * (process_time() - start)
    found: Estimate = estimate(basis.commission, basis.rates, basis.rack)
    lines = sum(1 for top in found.lines for _ in top.walk())
    print(f"{PARTS} parts, {JOINTS} joints, {len(basis.commission.operations)} operations;")
    print(f"{lines} lines; net {found.net} {found.currency}; {found.hours.mean:.0f} h\n")
    ways = tuple(Pricing(basis=way) for way in (PriceBasis.EXPECTED, PriceBasis.P80))
    told(
        "core: estimate",
        *timed(lambda: estimate(basis.commission, basis.rates, basis.rack)),
        LIMITS_MS["core"],
    )
    told("core: priced in two ways at once", *timed(lambda: priced_ways(basis, ways)))
    told("rival: one number in floats", *timed(lambda: one_number(basis)))
    told(
        "service: rows to values (cold first)",
        cold,
        timed(lambda: basis_for(commission, TODAY))[1],
    )
    owner = a_member(workshop)
    _, secret = make_token(owner.membership, "benchmark")
    program = Client(headers={"Authorization": f"Bearer {secret}"})
    address = f"/api/v1/commissions/{commission.pk}/estimate/"
    with CaptureQueriesContext(connection) as queries:
        size = len(program.get(address).content)
    asked = len(queries)
    told(
        f"API: whole estimate, {size / 1000:.0f} kB",
        *timed(lambda: program.get(address)),
        LIMITS_MS["API"],
    )
    few = f"{address}?levels=1"
    size = len(program.get(few).content)
    told(
        f"API: one level, {size / 1000:.0f} kB", *timed(lambda: program.get(few)), LIMITS_MS["API"]
    )
    person = Client()
    person.force_login(owner, "shop.services.access.RoleBackend")
    page = f"/commissions/{commission.pk}/estimate/"
    told("page of the estimate", *timed(lambda: person.get(page)))
    told("this machine now: a million additions", *timed(lambda: sum(range(1_000_000))))
    print(f"\n{asked} queries at the API")


def main() -> None:
    """Make a database, report, and throw it away."""
    runner = DiscoverRunner(verbosity=0, interactive=False)
    names = runner.setup_databases()
    plain = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    try:
        with override_settings(STORAGES={**settings.STORAGES, "staticfiles": plain}):
            report()
    finally:
        runner.teardown_databases(names)
