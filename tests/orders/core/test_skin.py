"""The outer surface of a union of solids."""

import pytest

from orders.core.skin import lines_on_surface, member_skin, outline, sawn_lines, skin, total_length
from orders.core.solids import Member, Solid, cut_away
from orders.core.vectors import X

BLOCK = Solid.block((0, 100), (0, 60), (0, 24))


def test_surface_of_a_block_in_two_pieces_is_that_of_the_whole():
    halves = (Solid.block((0, 40), (0, 60), (0, 24)), Solid.block((40, 100), (0, 60), (0, 24)))
    area = sum(patch.area_mm2 for patch in skin(halves))
    assert area == pytest.approx(2 * (100 * 60 + 60 * 24 + 24 * 100))


def test_outline_of_a_face_in_pieces_has_no_seams():
    pieces = cut_away((BLOCK,), Solid.block((30, 70), (20, 40), (-1, 30)))
    top = next(patch for patch in skin(pieces) if patch.plane.normal[2] > 0.5)
    assert total_length(top.edges) == pytest.approx(2 * (100 + 60) + 2 * (40 + 20))


def test_outline_of_one_loop_is_its_own_edges():
    loop = BLOCK.face_loops[0]
    assert len(outline((loop,))) == 4


def cut(*tools: Solid) -> Member:
    return Member.of("a", "board", grain=X, blank=BLOCK, cuts=tools)


def test_only_new_surface_counts_as_cut():
    groove = cut(Solid.block((40, 60), (0, 60), (18, 24)))
    area = sum(patch.area_mm2 for patch in member_skin(groove) if patch.is_cut)
    assert area == pytest.approx(2 * 60 * 6 + 20 * 60)


def test_saw_follows_a_cut_that_reaches_two_neighbouring_faces_only():
    through = cut(Solid.block((40, 60), (0, 60), (18, 24)))
    pocket = cut(Solid.block((40, 60), (20, 40), (18, 24)))
    assert sawn_mm(through) == pytest.approx(2 * (60 + 6 + 6))
    assert sawn_mm(pocket) == 0


def sawn_mm(member: Member) -> float:
    return sum(
        total_length(sawn_lines(lines_on_surface(patch, member.blank)))
        for patch in member_skin(member)
        if patch.is_cut
    )
