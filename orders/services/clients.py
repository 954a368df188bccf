"""Adding and changing clients."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.core.exceptions import ValidationError
from django.core.validators import EmailValidator
from django.db import transaction

from orders.core.countries import countries
from orders.core.language import Language
from orders.models import Client

from .holding import fresh
from .reading import Reader

if TYPE_CHECKING:
    from shop.models import Workshop


@transaction.atomic
def add_client(workshop: Workshop, **fields: str) -> Client:
    """Add a client: name, and perhaps contact, email, phone, address, tax_number.

    Raises RuleBroken or RulesBroken, naming the fields.
    """
    client = Client(workshop=workshop)
    _write(client, fields)
    client.save()
    return client


@transaction.atomic
def change_client(client: Client, *, version: int | None = None, **fields: str) -> Client:
    """Change the fields given.

    Raises Stale if the client is no longer at `version`, RuleBroken or RulesBroken for values.
    """
    client = fresh(client, version)
    _write(client, fields)
    client.save_next()
    return client


def client_named(workshop: Workshop, name: str) -> Client | None:
    """The client of this name, if there is one."""
    found: Client | None = Client.objects.of(workshop).filter(name=" ".join(name.split())).first()
    return found


def read_client(reader: Reader, fields: dict[str, str]) -> dict[str, str]:
    """The fields of a client as they will be stored; faults stay with the reader."""
    texts = {
        "name": ("the client's name", 120),
        "contact": ("the contact person", 120),
        "email": ("the e-mail address", 254),
        "phone": ("the phone number", 40),
        "address": ("the address", 1_000),
        "tax_number": ("the tax number", 30),
        "language": ("the language", 2),
        "country": ("the country", 2),
    }
    if unknown := set(fields) - set(texts):
        raise TypeError(f"A client has no {', '.join(sorted(unknown))}.")
    read = {
        field: reader.text(
            field,
            value,
            texts[field][0],
            most=texts[field][1],
            needed=field == "name",
            lines=field == "address",
        )
        for field, value in fields.items()
    }
    if read.get("email"):
        try:
            EmailValidator()(read["email"])
        except ValidationError:
            reader.refuse("email", "Write the e-mail address as name@example.com.")
    if read.get("language") and read["language"] not in set(Language):
        reader.refuse("language", f"Papers are written in {', '.join(Language)}; choose one.")
    if read.get("country"):
        read["country"] = read["country"].upper()
        if read["country"] not in countries():
            reader.refuse("country", "Give the country by its two letters, as IE or DE.")
    return read


def _write(client: Client, fields: dict[str, str]) -> None:
    reader = Reader()
    stands = {"name": client.name}
    for field, value in read_client(reader, {**stands, **fields}).items():
        setattr(client, field, value)
    others = Client.objects.of(client.workshop).exclude(pk=client.pk)
    if client.name and others.filter(name=client.name).exists():
        reader.refuse("name", "There is already a client of this name; add a place to it.")
    reader.settle()
