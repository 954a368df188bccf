"""A day from which an operation takes another time: a new jig, a new machine, another way."""

from dataclasses import dataclass
from typing import Protocol


class _Work(Protocol):
    @property
    def joint(self) -> str: ...
    @property
    def operation(self) -> str: ...
    @property
    def method(self) -> str: ...
    @property
    def day(self) -> float: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """From `day` on, an operation (of one joint type, or of all where `joint` is "") goes otherwise.

    Found in the clockings or marked by a person; what was clocked before still counts for all
    else.
    """

    operation: str
    method: str
    day: float
    joint: str = ""

    def bears_on(self, work: _Work) -> bool:
        """Whether this work was, or will be, done the new way."""
        return (
            work.operation == self.operation
            and work.method == self.method
            and self.joint in ("", work.joint)
            and work.day >= self.day
        )
