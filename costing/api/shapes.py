"""Core values in the description of the API: their schemas are derived, not written twice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from drf_spectacular.extensions import OpenApiSerializerExtension
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.plumbing import ResolvedComponent
from pydantic import TypeAdapter

REFERENCE = "#/components/schemas/{name}{{model}}"


@dataclass(frozen=True)
class Shape:
    """A named component; `schema` gives its JSON Schema for a template of references."""

    name: str
    schema: Callable[[str], dict[str, Any]]

    @classmethod
    def of(cls, name: str, adapter: TypeAdapter[Any]) -> Shape:
        """What an adapter writes."""
        return cls(name, lambda ref: adapter.json_schema(mode="serialization", ref_template=ref))


class ShapeExtension(OpenApiSerializerExtension):  # type: ignore[no-untyped-call]
    """Puts a shape and all that it refers to among the components."""

    target_class = Shape
    match_subclasses = True

    def get_name(self, auto_schema: AutoSchema, direction: str) -> str:
        """The name of the component."""
        return str(self.target.name)

    def map_serializer(self, auto_schema: AutoSchema, direction: str) -> dict[str, Any]:
        """The schema of the component; its parts become components of their own."""
        schema: dict[str, Any] = self.target.schema(REFERENCE.format(name=self.target.name))
        schema.pop("$schema", None)
        for name, inner in schema.pop("$defs", {}).items():
            auto_schema.registry.register_on_missing(
                ResolvedComponent(  # type: ignore[no-untyped-call]
                    name=self.target.name + name,
                    type=ResolvedComponent.SCHEMA,
                    object=self.target.name + name,
                    schema=inner,
                )
            )
        return schema
