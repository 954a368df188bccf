"""The narrowest place: by the share of open time, stations of a kind together."""

from shop.core.narrowest import Place, narrowest


def test_stations_of_a_kind_count_together_and_hands_each_alone():
    benches = [Place(name=f"Bench {i}", kind="bench", load_min=300, open_min=600) for i in "AB"]
    hands = [
        Place(name="Ada", load_min=540, open_min=600),
        Place(name="Ben", load_min=0, open_min=600),
    ]

    found = narrowest([*benches, *hands])

    assert found is not None
    assert (found.name, found.percent) == ("Ada", 90)
    only = narrowest([*benches, hands[1]])
    assert only is not None
    assert (only.name, only.load_min, only.percent) == ("bench, all 2", 600, 50)


def test_an_hour_in_all_or_a_place_never_open_is_not_narrow():
    closed = Place(name="Saw", kind="saw", load_min=600, open_min=0)
    idle = Place(name="Ada", load_min=60, open_min=61)

    assert narrowest([closed, idle]) is None
