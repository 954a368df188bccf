"""What was learned as bytes and back, so that it can be kept and foretold from later."""

import io
import json
import zlib
from collections.abc import Hashable, Mapping
from dataclasses import asdict
from typing import Any

import numpy as np

from costing.core.labour.change import Change
from costing.core.labour.design import Layout
from costing.core.labour.model import Learned
from costing.core.labour.priors import Priors

FORM = 1


def packed(learned: Learned) -> bytes:
    """Everything that foretelling needs; the covariance as its lower half in single precision."""
    layout = learned.layout
    head = {
        "form": FORM,
        "priors": asdict(learned.priors),
        "variances": dict(learned.variances),
        "error_share": learned.error_share,
        "size": layout.size,
        "spans": {name: list(span) for name, span in layout.spans.items()},
        "changes": [asdict(change) for change in layout.changes],
        "columns": {
            group: [[_written(name), column] for name, column in known.items()]
            for group, known in layout.columns.items()
        },
    }
    arrays = io.BytesIO()
    lower = learned.covariance[np.tril_indices(layout.size)].astype(np.float32)
    np.savez(arrays, effects=learned.effects, lower=lower)
    text = json.dumps(head).encode()
    return zlib.compress(len(text).to_bytes(8, "big") + text + arrays.getvalue())


def unpacked(kept: bytes) -> Learned | None:
    """What `packed` made; None of another form, which has to be learned again."""
    raw = zlib.decompress(kept)
    end = 8 + int.from_bytes(raw[:8], "big")
    head: dict[str, Any] = json.loads(raw[8:end])
    if head["form"] != FORM:
        return None
    with np.load(io.BytesIO(raw[end:])) as arrays:
        effects, lower = arrays["effects"], arrays["lower"].astype(float)
    size: int = head["size"]
    covariance = np.zeros((size, size))
    covariance[np.tril_indices(size)] = lower
    covariance += np.tril(covariance, -1).T
    return Learned(
        priors=Priors(**head["priors"]),
        layout=_layout(head),
        effects=effects,
        covariance=covariance,
        variances=head["variances"],
        error_share=head["error_share"],
    )


def _layout(head: Mapping[str, Any]) -> Layout:
    return Layout(
        columns={
            group: {_read(name): column for name, column in known}
            for group, known in head["columns"].items()
        },
        changes=tuple(Change(**change) for change in head["changes"]),
        size=head["size"],
        spans={name: (start, end) for name, (start, end) in head["spans"].items()},
    )


def _written(name: Hashable) -> Any:
    return {"change": asdict(name)} if isinstance(name, Change) else name


def _read(name: Any) -> Hashable:
    if isinstance(name, dict):
        return Change(**name["change"])
    return tuple(name) if isinstance(name, list) else str(name)
