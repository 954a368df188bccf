"""What can go wrong that a person can put right.

    WorkshopError               a sentence that says what to change
    ├── RuleBroken              one value breaks a rule; names the field
    ├── RulesBroken             several values break rules; holds the RuleBroken errors
    ├── NotReady                something that must exist first is missing
    ├── NotNow                  the thing is in a state that does not allow this (409)
    └── Stale                   somebody else changed it meanwhile (412)

Anything else is a bug and is left to crash.
"""

from collections.abc import Sequence


class WorkshopError(Exception):
    """A fault that the person at the screen can cause and correct."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


class RuleBroken(WorkshopError):
    """One value breaks a rule.

    `field` names the input as the caller knows it; nested values are joined by slashes
    ("assemblies/0/parts/2/length_mm"), so that it is a JSON pointer without its first slash.
    `nearest` is the nearest value that would do, where there is one.
    """

    def __init__(self, field: str, message: str, *, nearest: float | None = None) -> None:
        super().__init__(message)
        self.field = field
        self.nearest = nearest

    def under(self, prefix: str) -> "RuleBroken":
        """The same fault, seen from a document that holds this value under `prefix`."""
        return RuleBroken(f"{prefix}/{self.field}", self.message, nearest=self.nearest)


class RulesBroken(WorkshopError):
    """Several values break rules; each error names its own field."""

    def __init__(self, errors: Sequence[RuleBroken]) -> None:
        super().__init__(" ".join(error.message for error in errors))
        self.errors = tuple(errors)


class NotReady(WorkshopError):
    """Something that must exist first is missing."""


class NotNow(WorkshopError):
    """The thing is in a state that does not allow this."""


class Stale(WorkshopError):
    """Somebody else changed it since it was read."""
