"""How the pieces of an assembly stand, as the pattern placed them, for its drawing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from orders.core.pattern import Axis, Block, Piece
from orders.models import Assembly, Part


def written(pieces: Sequence[Piece]) -> list[dict[str, Any]]:
    """Pieces as an assembly keeps them."""
    return [
        {
            "assembly": piece.assembly,
            "mark": piece.mark,
            "name": piece.name,
            "grain": piece.grain.value,
            "at": list(piece.block.at),
            "size": list(piece.block.size),
            "outline": [list(corner) for corner in piece.block.outline],
            "through": list(piece.block.through),
        }
        for piece in pieces
    ]


def keep_standing(root: Assembly, pieces: Sequence[Piece]) -> None:
    """Note how the pieces stand, each with the sizes its part has now."""
    sizes = {name: size_of(part) for name, part in _parts(root)}
    kept = [
        {**row, "part": sizes.get((row["assembly"], row["mark"]), [])} for row in written(pieces)
    ]
    root.pieces = kept
    root.save(update_fields=["pieces"])


def standing(root: Assembly) -> tuple[Piece, ...]:
    """The pieces as they stand; none once a part was added, taken away or given other sizes.

    Two queries where the assembly has any, none otherwise.
    """
    if not root.pieces:
        return ()
    sizes = {name: size_of(part) for name, part in _parts(root)}
    placed = {(row["assembly"], row["mark"]): row["part"] for row in root.pieces}
    if sizes != placed:
        return ()
    return read_pieces(root.pieces)


def read_pieces(rows: Sequence[dict[str, Any]]) -> tuple[Piece, ...]:
    """Pieces as `written` wrote them."""
    return tuple(_piece(row) for row in rows)


def size_of(part: Part) -> list[str]:
    """What of a part must not change for its place to hold."""
    sizes = (part.length_mm, part.width_mm, part.thickness_mm)
    return [*(f"{size:.3f}" for size in sizes), str(part.quantity)]


def _parts(root: Assembly) -> Iterable[tuple[tuple[str, str], Part]]:
    """The parts of an assembly and of those right under it, by name of assembly and mark."""
    for part in root.parts.all():
        yield ("", part.mark), part
    for part in Part.objects.filter(assembly__parent=root).select_related("assembly"):
        yield (part.assembly.name, part.mark), part


def _piece(row: dict[str, Any]) -> Piece:
    return Piece(
        assembly=row["assembly"],
        mark=row["mark"],
        name=row["name"],
        grain=Axis(row["grain"]),
        block=Block(
            at=_point(row["at"]),
            size=_point(row["size"]),
            outline=tuple(_point(corner) for corner in row["outline"]),
            through=_point(row["through"]),
        ),
    )


def _point(values: Sequence[float]) -> tuple[float, float, float]:
    x, y, z = values
    return (x, y, z)
