"""Alternatives to a joint: every type that suits its two parts as they lie, side by side.

The figures compare one joint with another. They are not design values.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from orders.core.book import JointStudy, joint_types, study
from orders.core.errors import RuleBroken
from orders.core.fixings import Carried, advice_with
from orders.core.joint import Advice, Arrangement, Joint
from orders.core.species import Species
from orders.core.timber import timber_advice
from orders.core.times import Method, StandardTimes, TimedOperation, minutes_for


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """One joint that would do, fitted to the same parts by its rules of thumb.

    `arrangements` are those that it shares with the joint that is to be replaced; `by_hand` and
    `by_machine` are its operations for all of the joints asked about.
    """

    study: JointStudy
    arrangements: tuple[Arrangement, ...]
    is_present: bool
    by_hand: tuple[TimedOperation, ...]
    by_machine: tuple[TimedOperation, ...]
    advice: tuple[Advice, ...]

    @property
    def joint(self) -> Joint:
        """The joint itself."""
        return self.study.joint

    @property
    def hand_min(self) -> float:
        """Minutes by hand, set-up and all joints together."""
        return sum(operation.total_min for operation in self.by_hand)

    @property
    def machine_min(self) -> float:
        """Minutes by machine, set-up and all joints together."""
        return sum(operation.total_min for operation in self.by_machine)


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """A type that suits the arrangement but not these parts, and what would have to change."""

    code: str
    label: str
    fault: RuleBroken


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """The present joint first, then the others from the quickest by machine on."""

    fitting: tuple[Alternative, ...]
    refused: tuple[Refused, ...]


def compare(
    joint: Joint,
    *,
    count: float = 1,
    wood: tuple[Species, Species] | None = None,
    is_outdoors: bool = False,
    times: StandardTimes | None = None,
    arrangement: Arrangement | None = None,
    fixings: Sequence[Carried] = (),
) -> Comparison:
    """What could take the place of `count` like joints.

    `wood` is the species of part a and of part b; `fixings` are carried by every one. Without an
    arrangement every one counts in which the present joint can stand.

    Raises RuleBroken on "arrangement" when the present joint cannot stand in the one given.
    """
    asked = _asked(joint, arrangement)
    harder = max(wood, key=lambda each: each.hardness_n) if wood else None
    fitting: dict[Joint, Alternative] = {}
    refused: list[Refused] = []
    for candidate, shared in _candidates(joint, asked):
        if isinstance(candidate, Refused):
            refused.append(candidate)
        elif candidate not in fitting:
            known = study(candidate)
            fitting[candidate] = Alternative(
                study=known,
                arrangements=shared,
                is_present=candidate == joint,
                by_hand=minutes_for(known, count, Method.HAND, harder, times, fixings),
                by_machine=minutes_for(known, count, Method.MACHINE, harder, times, fixings),
                advice=advice_with(known, fixings, _advice(known, wood, is_outdoors)),
            )
    ordered = sorted(fitting.values(), key=lambda each: (not each.is_present, each.machine_min))
    return Comparison(fitting=tuple(ordered), refused=tuple(refused))


def _asked(joint: Joint, arrangement: Arrangement | None) -> tuple[Arrangement, ...]:
    if arrangement is None:
        return joint.arrangements
    if arrangement not in joint.arrangements:
        known = " or ".join(each.meaning for each in joint.arrangements)
        raise RuleBroken(
            "arrangement",
            f"A {joint.label.lower()} is no {arrangement.meaning}; choose {known}.",
        )
    return (arrangement,)


def _candidates(
    joint: Joint, asked: Sequence[Arrangement]
) -> Iterator[tuple[Joint | Refused, tuple[Arrangement, ...]]]:
    """The present joint, then every type as it suits the arrangements asked about."""
    yield joint, tuple(asked)
    for code, kind in joint_types().items():
        if code == joint.code:
            continue
        for arrangement in asked:
            if arrangement not in kind.suits:
                continue
            try:
                fitted = kind.fitted(joint.a, joint.b, **kind.given_for(arrangement))
            except RuleBroken as fault:
                yield Refused(code=code, label=kind.label, fault=fault), ()
                break
            yield fitted, tuple(each for each in asked if each in fitted.arrangements)


def _advice(
    known: JointStudy, wood: tuple[Species, Species] | None, is_outdoors: bool
) -> tuple[Advice, ...]:
    outdoors = known.outdoor_advice if is_outdoors else ()
    return (*known.advice, *outdoors, *(timber_advice(known, *wood) if wood else ()))
