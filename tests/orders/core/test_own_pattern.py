"""A shop's own pattern: sizes that follow, sizes that stay, and rules that speak of nothing."""

import pytest

from orders.core.errors import RuleBroken, RulesBroken
from orders.core.own_pattern import Follows, FreeSize, OwnPattern, followers
from orders.core.pattern_book import pattern

WIDTH = FreeSize(name="width", label="width of the door", value_mm=500, least_mm=250, most_mm=900)
HEIGHT = FreeSize(name="height", label="height of the door", value_mm=800)


def a_door():
    return pattern("frame-panel-door").of().made().assembly


def mark_of(name: str) -> str:
    return next(part.mark for part in a_door().parts if part.name == name)


def an_own_pattern(*more: Follows) -> OwnPattern:
    rules = [
        Follows(mark=mark_of("stile"), size="length_mm", field="height"),
        Follows(mark=mark_of("panel"), size="length_mm", field="height"),
        *(
            Follows(mark=mark_of(name), size=size, field="width")
            for name, size in (
                ("top rail", "length_mm"),
                ("bottom rail", "length_mm"),
                ("panel", "width_mm"),
            )
        ),
        *more,
    ]
    return OwnPattern(assembly=a_door(), free=(WIDTH, HEIGHT), follows=tuple(rules))


def sizes(assembly) -> dict[str, tuple[float, float, float]]:
    return {
        part.name: (part.length_mm, part.width_mm, part.thickness_mm) for part in assembly.parts
    }


def test_nothing_given_makes_the_same_assembly_again():
    assert an_own_pattern().made({}) == a_door()


def test_what_follows_grows_and_the_rest_stays():
    before, after = sizes(a_door()), sizes(an_own_pattern().made({"width": 600, "height": 900}))
    assert after["stile"] == (before["stile"][0] + 100, *before["stile"][1:])
    assert after["top rail"] == (before["top rail"][0] + 100, *before["top rail"][1:])
    assert after["panel"] == (
        before["panel"][0] + 100,
        before["panel"][1] + 100,
        before["panel"][2],
    )


def test_a_wider_door_is_that_of_the_pattern_itself_but_for_what_the_panel_swells():
    own = sizes(an_own_pattern().made({"width": 600}))
    pattern_own = sizes(pattern("frame-panel-door").of(width_mm=600).made().assembly)
    assert own["stile"] == pattern_own["stile"]
    assert own["top rail"] == pytest.approx(pattern_own["top rail"])
    assert own["panel"][1] == pytest.approx(pattern_own["panel"][1], abs=2)


def test_a_size_may_follow_by_a_factor_and_a_joint_may_follow_too():
    joint = a_door().joints[0]
    own = an_own_pattern(
        Follows(mark=joint.mark, size="tenon_length_mm", field="width", factor=0.05)
    )
    made = own.made({"width": 600})
    length = made.joints[0].dimensions["tenon_length_mm"]
    assert length == pytest.approx(joint.dimensions["tenon_length_mm"] + 5)


@pytest.mark.parametrize(("value", "nearest"), [(100, 250), (2000, 900)])
def test_a_free_size_out_of_its_range_is_refused_with_the_nearest(value, nearest):
    with pytest.raises(RuleBroken, match="width of the door") as refused:
        an_own_pattern().made({"width": value})
    assert (refused.value.field, refused.value.nearest) == ("width", nearest)


def test_a_part_that_would_vanish_is_refused_on_the_free_size():
    with pytest.raises(RuleBroken, match="length of the stile") as refused:
        an_own_pattern(
            Follows(mark=mark_of("stile"), size="length_mm", field="height", factor=2)
        ).made({"height": 500})
    assert refused.value.field == "height"


def test_a_joint_that_cannot_be_made_is_refused_on_the_free_size():
    thin = Follows(mark=mark_of("stile"), size="width_mm", field="width", factor=0.2)
    with pytest.raises(RuleBroken, match="cannot be made then") as refused:
        an_own_pattern(thin).made({"width": 300})
    assert refused.value.field == "width"


def test_an_unknown_size_is_refused_by_name():
    with pytest.raises(RuleBroken, match="width, height"):
        an_own_pattern().made({"depth": 3})


def test_rules_that_speak_of_nothing_are_all_named():
    with pytest.raises(RulesBroken) as refused:
        OwnPattern(
            assembly=a_door(),
            free=(WIDTH, WIDTH),
            follows=(
                Follows(mark="P1", size="length_mm", field="depth"),
                Follows(mark="P1", size="colour", field="width"),
                Follows(mark="J1", size="tail_count", field="width"),
                Follows(mark="P99", size="length_mm", field="width"),
                Follows(mark="P1", size="length_mm", field="width"),
            ),
        )
    assert [each.field for each in refused.value.errors] == [
        "free/1",
        "follows/0",
        "follows/1",
        "follows/2",
        "follows/3",
    ]


def test_sizes_as_large_as_a_free_size_are_offered_to_follow_it():
    guessed = followers(a_door(), (HEIGHT,))
    assert guessed == (Follows(mark=mark_of("stile"), size="length_mm", field="height"),)
