"""Picture formats, codec ceilings and bit rates against published figures."""

from fractions import Fraction

import pytest

from optimizer.engineering import video


@pytest.mark.parametrize(
    ("name", "count"),
    [
        # tripatlas.com and wireless80211.wordpress.com (CIF family); pfspd.sourceforge.net
        # (ITU-R BT.601); counts by arithmetic there.
        ("CIF", 101_376),
        ("CIF 525", 84_480),
        ("4CIF", 405_504),
        ("4CIF 525", 337_920),
        ("D1", 414_720),
        ("D1 525", 345_600),
        ("960-wide", 552_960),
        ("960-wide 525", 460_800),
        ("720p", 921_600),
        ("1080p", 2_073_600),
        # From memory; 2688 x 1520 = 4,085,760 by arithmetic.
        ("4 MP", 3_686_400),
        ("4 MP wide", 4_085_760),
        ("5 MP", 5_038_848),
        ("8 MP", 8_294_400),
    ],
)
def test_picture_sizes(name, count):
    width, height = video.PICTURES[name]
    assert width * height == count


@pytest.mark.parametrize(
    ("width", "height", "macroblocks", "level"),
    [
        # 120 x 68 x 30, 160 x 90 x 30, 240 x 135 x 30: levels by rate from the tables at
        # liquisearch.com and blog.youkuaiyun.com.
        (1920, 1080, 244_800, "4"),
        (2560, 1440, 432_000, "4.2"),
        (3840, 2160, 972_000, "5.1"),
    ],
)
def test_h264_levels_by_rate(width, height, macroblocks, level):
    assert video.macroblocks_per_second(width, height, 30) == macroblocks
    assert video.h264_level_for(width, height, 30, by_rate_only=True) == level


@pytest.mark.parametrize(
    ("width", "height", "fps", "level"),
    [
        # Largest picture of a level, from memory (H.264 table A-1): level 4 has 8,192
        # macroblocks and 1080p 8,160; 2560x1440 has 14,400, past the 8,704 of 4.2; 3840x2160
        # has 32,400, past the 22,080 of 5, however slow.
        (1920, 1080, 30, "4"),
        (2560, 1440, 30, "5"),
        (3840, 2160, 1, "5.1"),
    ],
)
def test_h264_levels_with_picture_size_from_memory(width, height, fps, level):
    assert video.h264_level_for(width, height, fps) == level


def test_h264_ceilings():
    # liquisearch.com: level 3.1 14,000 kbit/s (High 17,500), 3.2 20,000 (25,000); 3 10,000.
    levels = video.H264_LEVELS
    assert (levels["3.1"].main_kbit_s, levels["3.1"].high_kbit_s) == (14_000, 17_500)
    assert (levels["3.2"].main_kbit_s, levels["3.2"].high_kbit_s) == (20_000, 25_000)
    assert levels["3"].main_kbit_s == 10_000
    assert [levels[name].rate for name in ("3", "3.1", "3.2")] == [40_500, 108_000, 216_000]
    # blog.youkuaiyun.com: 4 and 4.1 share 245,760 macroblocks/s and differ in rate.
    assert (levels["4"].rate, levels["4.1"].rate) == (245_760, 245_760)
    assert (levels["4"].main_kbit_s, levels["4.1"].main_kbit_s) == (20_000, 50_000)
    # An editing program's manual: 4.2, 5, 5.1.
    assert [levels[name].rate for name in ("4.2", "5", "5.1")] == [522_240, 589_824, 983_040]
    assert [levels[name].main_kbit_s for name in ("4.2", "5", "5.1")] == [50_000, 135_000, 240_000]


@pytest.mark.parametrize(
    ("level", "samples", "main", "high"),
    [
        # liquisearch.com, tiers and levels.
        ("3.1", 33_177_600, 10_000, None),
        ("4", 66_846_720, 12_000, 30_000),
        ("4.1", 133_693_440, 20_000, 50_000),
        ("5", 267_386_880, 25_000, 100_000),
        ("5.1", 534_773_760, 40_000, 160_000),
    ],
)
def test_h265_ceilings(level, samples, main, high):
    row = video.H265_LEVELS[level]
    assert (row.rate, row.main_kbit_s, row.high_kbit_s) == (samples, main, high)


@pytest.mark.parametrize(
    ("width", "height", "fps", "level"),
    [
        # 1280 x 720 x 30 = 27,648,000 fits 3.1 (33.2 M) and at 40 = 36,864,000 does not;
        # 1920 x 1080 x 30 = 62,208,000 fits 4 (66.8 M) and at 60 = 124,416,000 fits 4.1
        # (133.7 M); 3840 x 2160 x 30 = 248,832,000 fits 5 (267.4 M), at 60 = 497,664,000 5.1.
        (1280, 720, 30, "3.1"),
        (1280, 720, 40, "4"),
        (1920, 1080, 30, "4"),
        (1920, 1080, 60, "4.1"),
        (3840, 2160, 30, "5"),
        (3840, 2160, 60, "5.1"),
    ],
)
def test_h265_levels(width, height, fps, level):
    assert video.luma_samples_per_second(width, height, fps) == width * height * fps
    assert video.h265_level_for(width, height, fps) == level


def test_general_rule_of_thumb():
    # blog.sporv.com: 1280 x 720, 24 fps, motion 2, 0.07 bit/px = 3,096,576 bit/s.
    assert video.general_bit_rate(1280, 720, 24, 2) == 3_096_576


def test_motion_jpeg_example():
    # UFC 4-021-02NF figure 4-13: 640 x 480 x 2 byte = 614,400; / 20 = 30.7 kB; 10 fps = 307 kB/s.
    rate = video.bit_rate(640, 480, 10, "MJPEG", "medium")
    assert rate / 8 == 307_200
    # The same at 8 bit a byte is 2.4576 Mbit/s.
    assert rate == 2_457_600


def test_trap_5_ten_bits_a_byte():
    # The same figure counts 10 bits a byte: 307 kB/s is 3.07 Mbit/s there, 2.4576 at 8 bits.
    assert video.bits_from_bytes(307_200, 10) == 3_072_000
    assert video.bits_from_bytes(307_200) == 2_457_600


def test_compression_ratio_of_motion_jpeg():
    # UFC 4-15.3: the ratio lies between 10 and 100; 16 bit a pixel before compression.
    for per_pixel in video.BITS_PER_PIXEL["MJPEG"].values():
        assert 10 <= 16 / per_pixel <= 100
        # Figure 4-13 divides by 20.
        assert 16 / per_pixel == 20


def test_surveillance_bits_per_pixel_from_memory():
    # H.264 0.03 to 0.10 bit/px; H.265 30 to 50 % less: from memory.
    h264, h265 = video.BITS_PER_PIXEL["H.264"], video.BITS_PER_PIXEL["H.265"]
    assert h264 == {"low": Fraction("0.03"), "medium": Fraction("0.06"), "high": Fraction("0.1")}
    for activity, per_pixel in h264.items():
        # 40 % less, the middle of that range.
        assert h265[activity] == per_pixel * Fraction(6, 10)


def test_trap_14_ceilings_are_not_expected_rates():
    # 1080p at 15 fps, medium: 2,073,600 x 15 x 0.06 = 1,866,240 bit/s, while level 4 (which
    # carries it up to 30 fps) allows 20,000 kbit/s: more than ten times as much.
    rate = video.bit_rate(1920, 1080, 15, "H.264", "medium")
    assert rate == 1_866_240
    level = video.h264_level_for(1920, 1080, 15)
    assert level == "4"
    assert video.H264_LEVELS[level].main_kbit_s * 1000 > 10 * rate


def test_largest_pictures_from_memory():
    # H.264 table A-1 (macroblocks) and H.265 table A.8 (luma samples), from memory.
    assert [level.picture for level in video.H264_LEVELS.values()] == [
        1_620,
        3_600,
        5_120,
        8_192,
        8_192,
        8_704,
        22_080,
        36_864,
    ]
    assert [level.picture for level in video.H265_LEVELS.values()] == [
        983_040,
        2_228_224,
        2_228_224,
        8_912_896,
        8_912_896,
    ]
