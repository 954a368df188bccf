"""The people of the demo, and how each of them signs in."""

from collections.abc import Iterator

from costing.management.demo.figures import rows
from shop.core.roles import Role
from shop.models import Membership, User, WorkingCalendar, Workshop
from shop.services.stations import add_hand

PASSWORD = "oak-ash-and-elm"


def sign_ins() -> list[tuple[Role, str]]:
    """One e-mail address for each role."""
    first: dict[Role, str] = {}
    for person in rows("people"):
        first.setdefault(Role(person["role"]), person["email"])
    return list(first.items())


def owner() -> User:
    """Whoever founds the workshop."""
    return next(_person(row) for row in rows("people") if row["role"] == Role.OWNER)


def is_there() -> bool:
    """Whether the demo was told before."""
    return User.objects.filter(email=dict(sign_ins())[Role.OWNER]).exists()


def take_on(workshop: Workshop, calendar: WorkingCalendar) -> dict[str, Membership]:
    """Everybody but the owner, who belongs to it already; by role, the first of each.

    Rows instead of invitations, so that nobody invented is sent mail.
    """
    places: dict[str, Membership] = {}
    for row in rows("people"):
        if row["role"] == Role.OWNER:
            continue
        place = Membership.objects.create(
            workshop=workshop, user=_person(row), role=Role(row["role"])
        )
        places.setdefault(row["role"], place)
        if row["skills"]:
            add_hand(
                workshop,
                name=row["name"],
                calendar=calendar,
                skills=dict(_skills(row["skills"])),
                membership=place,
            )
    return places


def _person(row: dict[str, str]) -> User:
    return User.objects.create_user(row["email"], PASSWORD, name=row["name"])


def _skills(text: str) -> Iterator[tuple[str, int]]:
    words = text.split()
    for skill, level in zip(words[::2], words[1::2], strict=True):
        yield skill, int(level)
