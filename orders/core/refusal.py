"""What is refused, value by value, as a problem document lists it.

Source: RFC 9457, Problem Details for HTTP APIs; pointers are JSON pointers as URI fragments, RFC
6901.
"""

from orders.core.errors import RuleBroken, RulesBroken, WorkshopError


def pointed(error: WorkshopError) -> list[dict[str, str | float]]:
    """Each value that a rule refuses, by pointer, with the nearest that would do where there is one."""
    if isinstance(error, RulesBroken):
        return [entry for each in error.errors for entry in pointed(each)]
    if not isinstance(error, RuleBroken):
        return []
    entry: dict[str, str | float] = {
        "pointer": f"#/{error.field}" if error.field else "#",
        "detail": error.message,
    }
    if error.nearest is not None:
        entry["nearest"] = error.nearest
    return [entry]
