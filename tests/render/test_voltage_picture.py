"""The layout of the voltage along the feed path."""

from __future__ import annotations

import pytest

from feasibility.render.text_fit import text_width
from feasibility.render.voltage_picture import LABEL_SIZE, WIDTH, VoltagePicture, voltage_picture
from feasibility.voltage_along import VoltageAlong, VoltagePoint
from tests.render import sites


def picture_of(*points: tuple[str, float, float]) -> VoltagePicture:
    along = VoltageAlong(
        between_lines=True,
        station_current_a=32,
        nominal_v=400,
        highest_v=440,
        accepted_from_v=300,
        points=tuple(
            VoltagePoint(name=name, distance_m=distance, loaded_v=voltage, idle_v=voltage + 2)
            for name, distance, voltage in points
        ),
    )
    return voltage_picture(along)


def test_higher_voltages_stand_higher_and_farther_places_to_the_right() -> None:
    picture = picture_of(("origin", 0, 360), ("board", 20, 355), ("station", 80, 340))
    assert picture.highest_y < picture.nominal_y < picture.nodes[0].idle_y
    for first, second in zip(picture.nodes, picture.nodes[1:], strict=False):
        assert first.x < second.x
        assert first.loaded_y < second.loaded_y
        assert second.idle_y < second.loaded_y
    assert picture.nodes[-1].loaded_y < picture.accepted_y <= picture.bottom
    # A quarter of the way is a quarter of the width.
    left, middle, right = (one.x for one in picture.nodes)
    assert (middle - left) / (right - left) == pytest.approx(20 / 80, abs=1e-3)


def test_names_do_not_overlap_and_stay_on_the_page() -> None:
    names = ["Ω" * 60, "W" * 60, "Main board", "outlet", "station"]
    picture = picture_of(*((name, 10.0 + number, 350.0) for number, name in enumerate(names)))
    spans: list[tuple[float, float, float]] = []
    for one in picture.nodes:
        half = max(text_width(line, LABEL_SIZE) for line in one.name_lines) / 2
        assert one.label_x - half >= 0
        assert one.label_x + half <= WIDTH
        for y, left, right in spans:
            if y == one.name_y:
                assert right <= one.label_x - half or one.label_x + half <= left
        spans.append((one.name_y, one.label_x - half, one.label_x + half))
    assert all(one.name_y < picture.key[0][0] for one in picture.nodes)


@pytest.mark.parametrize("name", [name for name in sites.names() if name != "old-mill"])
def test_everything_of_a_shipped_site_lies_within_the_picture(name: str) -> None:
    along = sites.shipped(name).voltage_along
    assert along is not None
    picture = voltage_picture(along)
    heights = [picture.highest_y, picture.nominal_y, picture.accepted_y]
    heights += [y for one in picture.nodes for y in (one.loaded_y, one.idle_y)]
    assert all(picture.top <= y <= picture.bottom for y in heights)
    assert 3 <= len(picture.ticks) <= 9
    assert all(picture.top <= tick.y <= picture.bottom for tick in picture.ticks)
    assert picture.key[-1][0] < picture.height


def test_a_path_without_length_is_drawn_too() -> None:
    assert picture_of(("origin", 0, 360), ("station", 0, 360)).nodes[0].x == pytest.approx(16)
