"""What an hour of a machine costs, built up from what owning and running it takes."""

from dataclasses import dataclass, fields
from decimal import Decimal

from costing.core.lines import Draft, Line
from costing.core.money import ZERO
from costing.core.workings import percent, plain
from orders.core.errors import RuleBroken, RulesBroken

ONE = Decimal(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineCost:
    """What owning and running a machine takes; amounts per year unless they say otherwise."""

    purchase: Decimal
    residual: Decimal
    life_h: Decimal
    hours_run: Decimal
    interest: Decimal = ZERO
    upkeep: Decimal = ZERO
    insurance: Decimal = ZERO
    floor_m2: Decimal = ZERO
    rent_per_m2: Decimal = ZERO
    power_kw: Decimal = ZERO
    load: Decimal = ONE
    tariff_per_kwh: Decimal = ZERO

    def faults(self) -> list[RuleBroken]:
        """What is wrong with these figures, each beside its field."""
        faults = [
            RuleBroken(each.name, f"The {WORDS.get(each.name, each.name)} must be 0 or more.")
            for each in fields(self)
            if not (getattr(self, each.name).is_finite() and getattr(self, each.name) >= 0)
        ]
        if faults:
            return faults
        if self.residual > self.purchase:
            faults.append(
                RuleBroken("residual", "A machine is not sold for more than it was bought for.")
            )
        if not self.life_h:
            faults.append(RuleBroken("life_h", "Give the hours that the machine lasts, above 0."))
        if not self.hours_run:
            faults.append(RuleBroken("hours_run", "Give the hours it runs in a year, above 0."))
        if self.load > 1:
            faults.append(RuleBroken("load", "A load is a share of the power, 1 at the most."))
        return faults


WORDS = {
    "life_h": "hours of life",
    "hours_run": "hours run in a year",
    "floor_m2": "floor space",
    "rent_per_m2": "rent of a square metre",
    "power_kw": "power",
    "tariff_per_kwh": "price of a kilowatt-hour",
}


def hourly_parts(machine: MachineCost) -> dict[str, Decimal]:
    """What an hour that the machine runs takes, exactly, by what it is for.

    Wear over the hours of life, current by the hour, and the costs of a year over the hours run
    in it. Raises RulesBroken for figures that make no sense.
    """
    if faults := machine.faults():
        raise RulesBroken(faults)
    return {
        "wear": (machine.purchase - machine.residual) / machine.life_h,
        "current": machine.power_kw * machine.load * machine.tariff_per_kwh,
        "interest": machine.interest / machine.hours_run,
        "upkeep": machine.upkeep / machine.hours_run,
        "insurance": machine.insurance / machine.hours_run,
        "floor": machine.floor_m2 * machine.rent_per_m2 / machine.hours_run,
    }


def machine_hour_rate(machine: MachineCost) -> Decimal:
    """Money per hour that the machine runs, exactly; raises RulesBroken as above."""
    return sum(hourly_parts(machine).values(), ZERO)


def machine_hour(machine: MachineCost, currency: str) -> Line:
    """The printed rate of an hour, and the printed parts that it adds up from; raises as above."""
    parts = hourly_parts(machine)
    year = f"over {short(machine.hours_run)} h a year"
    words = {
        "wear": f"{plain(machine.purchase, currency)} less {plain(machine.residual, currency)}"
        f" over {short(machine.life_h)} h of life",
        "current": f"{short(machine.power_kw)} kW, {percent(machine.load)} loaded, at"
        f" {plain(machine.tariff_per_kwh, currency)} per kWh",
        "interest": f"{plain(machine.interest, currency)} {year}",
        "upkeep": f"{plain(machine.upkeep, currency)} {year}",
        "insurance": f"{plain(machine.insurance, currency)} {year}",
        "floor": f"{short(machine.floor_m2)} m2 at {plain(machine.rent_per_m2, currency)} {year}",
    }
    drafts = [
        Draft(key, key.capitalize(), words[key], exact) for key, exact in parts.items() if exact
    ]
    return Draft("machine-hour", "An hour of it", children=drafts).printed(currency)


def short(measure: Decimal) -> str:
    """A measure without zeros that say nothing."""
    return f"{measure.normalize():f}"
