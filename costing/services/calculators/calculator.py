"""What every calculator is: a core function behind two documents, the one read and the one written."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any, Generic, TypeVar

from pydantic import TypeAdapter

from costing.services.calculators.limits import Limits, require_size
from costing.services.calculators.reading import LENGTH, document_of, read

Document = TypeVar("Document")
Answer = TypeVar("Answer")

DIALECT = "https://json-schema.org/draft/2020-12/schema"
EXAMPLES = Path(__file__).resolve().parents[2] / "data" / "calculators"
REFERENCE = "#/$defs/{model}"


@dataclass(frozen=True, kw_only=True)
class Calculator(Generic[Document, Answer]):
    """One core, asked by a document; `checked` are types that refuse bad values when made."""

    name: str
    summary: str
    document: type[Document]
    answer: type[Answer]
    reckon: Callable[[Document, Limits], Answer]
    checked: tuple[type[Any], ...] = ()

    def calculate(self, text: bytes, limits: Limits) -> dict[str, Any]:
        """The answer to a document, as JSON values.

        Raises a WorkshopError; its fields are JSON pointers without the first slash.
        """
        require_size(text, limits)
        document = read(self._document, document_of(text), self.checked)
        answer: dict[str, Any] = self._answer.dump_python(
            self.reckon(document, limits), mode="json"
        )
        return answer

    def document_schema(self, reference: str = REFERENCE) -> dict[str, Any]:
        """The JSON Schema of what is read."""
        schema = self._document.json_schema(mode="validation", ref_template=reference)
        for properties in _properties(schema):
            for name, kind in properties.items():
                if name.endswith(LENGTH):
                    properties[name] = _also_written(kind)
        return {"$schema": DIALECT, **schema, "examples": [self.example()]}

    def answer_schema(self, reference: str = REFERENCE) -> dict[str, Any]:
        """The JSON Schema of what is written."""
        schema = self._answer.json_schema(mode="serialization", ref_template=reference)
        return {"$schema": DIALECT, **schema}

    def example(self) -> dict[str, Any]:
        """A small document that can be reckoned as it stands."""
        text = (EXAMPLES / f"{self.name}.json").read_text(encoding="utf-8")
        document: dict[str, Any] = json.loads(text)
        return document

    @cached_property
    def _document(self) -> TypeAdapter[Document]:
        return TypeAdapter(self.document)

    @cached_property
    def _answer(self) -> TypeAdapter[Answer]:
        return TypeAdapter(self.answer)


def _properties(schema: Any) -> Iterator[dict[str, Any]]:
    """The properties of every object that a schema describes."""
    for kind in (schema, *schema.get("$defs", {}).values()):
        if "properties" in kind:
            yield kind["properties"]


def _also_written(kind: dict[str, Any]) -> dict[str, Any]:
    """A length, which may be written as a bench does: 1 3/4\", 90 cm."""
    words = {"type": "string", "description": "A length as it is written: 45, 1 3/4 in, 90 cm."}
    ways = kind.pop("anyOf", None) or [{"type": kind.pop("type")}]
    return {**kind, "anyOf": [*ways, words]}
