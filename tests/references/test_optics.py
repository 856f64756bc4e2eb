"""Optics against published detail levels, worked examples and OpenCV."""

from fractions import Fraction

import cv2
import numpy as np
import pytest

from optimizer.engineering import optics, video


@pytest.mark.parametrize(
    ("level", "px_m", "mm_per_px", "px_per_ft", "face_px"),
    [
        # IEC 62676-4:2014, levels quoted by sicherheitstechnik-tst.de (secondary); the other
        # columns are plain arithmetic: 1000/px_m, px_m x 0.3048, px_m x 0.16 m.
        ("monitor", "12.5", 80, 3.81, 2),
        ("detect", "25", 40, 7.62, 4),
        ("observe", "62.5", 16, 19.05, 10),
        ("recognise", "125", 8, 38.10, 20),
        ("identify", "250", 4, 76.20, 40),
        ("inspect", "1000", 1, 304.80, 160),
    ],
)
def test_levels_of_2014(level, px_m, mm_per_px, px_per_ft, face_px):
    density = optics.DETAIL_LEVELS["2014"][level]
    assert density == Fraction(px_m)
    assert 1000 / density == mm_per_px
    assert density * Fraction("0.16") == face_px
    assert optics.density_per_foot(density) == Fraction(str(px_per_ft))


def test_levels_of_2025_from_memory():
    # IEC 62676-4:2025, from memory, unverified.
    assert optics.DETAIL_LEVELS["2025"] == {
        "overview": 20,
        "outline": 40,
        "discern": 80,
        "perceive": 125,
        "characterise": 250,
        "validate": 500,
        "scrutinise": 1500,
    }


def test_trap_1_observe_is_not_rounded():
    # 62.5 px/m, often rounded to 62 or 63. A 4.8 mm sensor at f 4 mm is 12 m wide at 10 m:
    # 62.5 x 12 = 750 px; 62 would give 744 and 63 would give 756.
    assert optics.detail_px_m("2014", "observe") == Fraction(125, 2)
    assert optics.pixels_needed(optics.detail_px_m("2014", "observe"), 4.8, 4, 10) == 750
    # 62.5 x 0.3048 = 19.05
    assert optics.density_per_foot(Fraction(125, 2)) == Fraction("19.05")


HEIGHT_RULE = [(5, "monitor"), (10, "detect"), (25, "observe"), (50, "recognise")]
HEIGHT_RULE += [(100, "identify"), (400, "inspect")]


@pytest.mark.parametrize(("percent", "level"), HEIGHT_RULE)
def test_trap_2_height_rule_equals_levels_for_400_lines(percent, level):
    # Exact link: percent of 400 lines over 1.6 m. EN 50132-7:2012 percentages, from memory.
    assert optics.density_from_height_percent(percent) == optics.detail_px_m("2014", level)


@pytest.mark.parametrize(
    ("percent", "px_m"), [(5, 18), (10, 36), (25, 90), (50, 180), (100, 360), (400, 1440)]
)
def test_trap_2_height_rule_differs_for_576_lines(percent, px_m):
    # percent x 576 / 1.6, by arithmetic: 3.6 px/m for each percent.
    assert optics.density_from_height_percent(percent, lines=576) == px_m
    assert px_m not in optics.DETAIL_LEVELS["2014"].values()


def test_trap_3_a_type_name_is_not_a_size():
    # 5.270 x 3.960 and 5.371 x 4.035, both published for 1/2.7 by one publisher.
    first, second = optics.SENSOR_FORMATS_MM["1/2.7"]
    assert (first, second) == ((5.270, 3.960), (5.371, 4.035))
    # Published diagonals 6.592 and 6.721 mm.
    assert np.hypot(*first) == pytest.approx(6.592, abs=5e-4)
    # Published 6.721; its own sides give sqrt(5.371^2 + 4.035^2) = 6.718, so 0.003 apart.
    assert np.hypot(*second) == pytest.approx(6.721, abs=4e-3)
    # None of them measures 25.4 / 2.7 = 9.4 mm in any direction.
    assert max(*first, *second, np.hypot(*second)) < 25.4 / 2.7


@pytest.mark.parametrize(
    ("name", "diagonal"),
    # dpreview.com and filmalley.com tables; 1/4 from memory.
    [("1/4", 4.0), ("1/3.2", 5.680), ("1/3", 6.0), ("1/2.5", 7.182), ("1/2", 8.0), ("2/3", 11.0)],
)
def test_published_diagonals(name, diagonal):
    # 1/3.2: sides give 5.6783 against 5.680 published, so 2 um of slack.
    assert np.hypot(*optics.SENSOR_FORMATS_MM[name][0]) == pytest.approx(diagonal, abs=2e-3)


def test_side_from_pitch():
    # 1920 x 1080 at 2.9 um: 5.57 x 3.13 mm (allsky project's list of sensors).
    assert optics.sensor_side(1920, 2.9) == pytest.approx(5.57, abs=5e-3)
    assert optics.sensor_side(1080, 2.9) == pytest.approx(3.13, abs=5e-3)
    # 1600 x 1200 at 4.4 um: 7.040 x 5.280 mm (published list).
    assert optics.sensor_side(1600, 4.4) == pytest.approx(7.040, abs=5e-4)
    assert optics.sensor_side(1200, 4.4) == pytest.approx(5.280, abs=5e-4)


def test_optical_format_rule():
    # Rule pitch x sqrt(w^2 + h^2) / 16000 (keengdom.netlify.app). 1600 x 1200 has a diagonal of
    # 2000 px (3-4-5), so 4.4 x 2000 / 16000 = 0.55 = 1/1.82.
    assert optics.optical_format_inch(1600, 1200, 4.4) == pytest.approx(0.55)


def test_worked_example_of_a_4_mm_lens():
    # 4.8 x 3.6 mm, f 4: 61.93 x 48.46 deg, diagonal 73.74 deg; 12.0 m at 10 m; 1920 px gives
    # 160 px/m; 250 px/m at 6.4 m (2 atan(w/2f): 2 atan 0.6, 0.45, 0.75).
    assert optics.view_angle(4.8, 4) == pytest.approx(61.93, abs=5e-3)
    assert optics.view_angle(3.6, 4) == pytest.approx(48.46, abs=5e-3)
    assert optics.view_angle(6.0, 4) == pytest.approx(73.74, abs=5e-3)
    assert optics.scene_width(4.8, 4, 10) == pytest.approx(12.0)
    assert optics.pixel_density(1920, 4.8, 4, 10) == pytest.approx(160)
    assert optics.pixel_density(1920, 4.8, 4, 6.4) == pytest.approx(250)
    assert optics.pixels_needed(250, 4.8, 4, Fraction("6.4")) == 1920


def test_teaching_page_focal_lengths():
    # Machine-vision teaching pages. 4.8 mm sensor, 305 mm away, 64 mm field: 22.9, quoted 23 mm.
    assert optics.focal_for_width(4.8, 0.305, 0.064) == pytest.approx(22.9, abs=0.05)
    # 3.6 mm side, 200 mm away, 45 mm target: 16 mm.
    assert optics.focal_for_width(3.6, 0.200, 0.045) == pytest.approx(16.0)
    # Thin lens, 300 mm away, 100 mm object, 5.6 mm sensor: 16 mm to the whole millimetre.
    assert optics.close_range_focal(5.6, 100, 300) == pytest.approx(16, abs=0.5)


@pytest.mark.parametrize("focal", [2.8, 4.0, 12.0])
@pytest.mark.parametrize(("width", "height"), [(4.8, 3.6), (5.37, 4.04), (8.8, 6.6)])
def test_view_angle_against_opencv(focal, width, height):
    columns, rows = 1920, 1080
    camera = np.array(
        [
            [focal / width * columns, 0, columns / 2],
            [0, focal / height * rows, rows / 2],
            [0, 0, 1.0],
        ]
    )
    across, down, *_ = cv2.calibrationMatrixValues(camera, (columns, rows), width, height)
    assert optics.view_angle(width, focal) == pytest.approx(across, rel=1e-9)
    assert optics.view_angle(height, focal) == pytest.approx(down, rel=1e-9)


@pytest.mark.parametrize("distance", [3.0, 10.0, 35.0])
@pytest.mark.parametrize("focal", [2.8, 4.0, 12.0])
def test_pixel_density_against_opencv(distance, focal):
    columns, width = 1920, 4.8
    scale = focal / width * columns
    camera = np.array([[scale, 0, 960.0], [0, scale, 540.0], [0, 0, 1.0]])
    metre = np.array([[[-0.5, 0.0, distance]], [[0.5, 0.0, distance]]])
    points, _ = cv2.projectPoints(metre, np.zeros(3), np.zeros(3), camera, None)
    seen = float(points[1, 0, 0] - points[0, 0, 0])
    assert optics.pixel_density(columns, width, focal, distance) == pytest.approx(seen, rel=1e-9)


def test_scene_width_against_opencv():
    # The two ends of the computed scene land on the picture's left and right edge.
    half = optics.scene_width(4.8, 4, 10) / 2
    camera = np.array([[1600.0, 0, 960.0], [0, 1600.0, 540.0], [0, 0, 1.0]])
    ends = np.array([[[-half, 0.0, 10.0]], [[half, 0.0, 10.0]]])
    points, _ = cv2.projectPoints(ends, np.zeros(3), np.zeros(3), camera, None)
    assert points[:, 0, 0] == pytest.approx([0, 1920])


def test_depth_of_field_from_memory():
    # H = f^2/(N c) + f: 16 / 0.008 + 4 = 2004 mm (formula from memory, example by arithmetic).
    assert optics.hyperfocal_m(4, 1.6, 0.005) == pytest.approx(2.004)
    # Focused at H: near = H H / (H + H - f) = 2.004^2 / 4.004 = 1.0030 m and far is
    # H H / f = 2.004^2 / 0.004 = 1004 m, finite only by the one focal length.
    near, far = optics.depth_of_field(4, 1.6, 0.005, 2.004)
    assert near == pytest.approx(1.0030, abs=5e-5)
    assert far == pytest.approx(1004.0, abs=0.05)


def test_depth_of_field_against_ray_geometry():
    # Independent check with the lens equation: the blur on the sensor of a point at the near
    # and the far limit is the circle of confusion. Image distance v = s f / (s - f), blur of a
    # point imaged at u is A |u - v| / u with aperture A = f / N.
    focal, f_number, blur, distance = 12.0, 1.4, 0.003, 8000.0
    plane = distance * focal / (distance - focal)
    for limit in optics.depth_of_field(focal, f_number, blur, distance / 1000):
        image = limit * 1000 * focal / (limit * 1000 - focal)
        assert focal / f_number * abs(image - plane) / image == pytest.approx(blur, rel=1e-3)


def test_trap_4_densities_differ_where_pixels_are_not_square():
    # 352 / 288 = 1.222 (tripatlas.com); square would be 4/3 = 1.333. On a 4:3 sensor at 4 mm and
    # 10 m the scene is 12 x 9 m: 352/12 = 29.33 px/m across, 288/9 = 32 px/m up.
    across = optics.pixel_density(352, 4.8, 4, 10)
    upright = optics.pixel_density(288, 3.6, 4, 10)
    assert across == pytest.approx(88 / 3)
    assert upright == pytest.approx(32)
    # (4/3) x 288 / 352 = 12/11
    assert video.pixel_aspect(*video.PICTURES["CIF"]) == Fraction(12, 11)
    assert upright / across == pytest.approx(12 / 11)


def test_areas_that_disagree_or_are_from_memory():
    areas = optics.SENSOR_FORMATS_MM
    # 1/4: 3.2 x 2.4 (4.0) and 3.6 x 2.7 (4.5), both from memory; 3-4-5 triangles.
    assert areas["1/4"] == ((3.2, 2.4), (3.6, 2.7))
    # 1/2: 6.4 x 4.8 (filmalley.com) and a part of 5.632 x 4.224 (pastebin pc7x57L3).
    assert areas["1/2"] == ((6.4, 4.8), (5.632, 4.224))
    # 1/1.8: 7.176 x 5.319 from memory; 1600 x 1200 at 4.4 um (pastebin MUggSF12).
    assert areas["1/1.8"] == ((7.176, 5.319), (7.040, 5.280))
    # 1/2.8 has no fixed area: 1920 x 1080 at 2.9 um stands for it, the label from memory.
    assert areas["1/2.8"] == ((5.57, 3.13),)
