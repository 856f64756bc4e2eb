"""Light against physics and ranges; no published night requirement was found."""

import pytest

from optimizer.engineering import light


def test_lit_is_an_assumption():
    # 50 lx for a lit view: common practice, no source.
    assert light.ambient_lux("lit") == 50


def test_natural_light_from_memory():
    # Textbook ranges, from memory: full sun 1e5, overcast 1e3, twilight 10, full moon 0.1 to
    # 0.3, starlight 1e-3 lx.
    ranges = light.NATURAL_LIGHT_LUX
    assert ranges["full sun"] == (1e5, 1e5)
    assert ranges["overcast"] == (1e3, 1e3)
    assert ranges["twilight"] == (10, 10)
    assert ranges["full moon"] == (0.1, 0.3)
    assert ranges["starlight"] == (1e-3, 1e-3)


def test_inverse_square():
    # Physics, from memory: 36 W/sr at 3 m is 4 W/m2; twice as far needs four times as much.
    assert light.irradiance(36, 3) == pytest.approx(4)
    assert light.irradiance(4 * 36, 6) == pytest.approx(light.irradiance(36, 3))
