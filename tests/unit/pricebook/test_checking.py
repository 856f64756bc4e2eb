"""Gaps of a book are named in plain words; each test makes one gap in a book that has none."""

from pathlib import Path

import pytest

from optimizer.pricebook import check_book, load_book
from optimizer.pricebook.schema import (
    Balun,
    Bracket,
    Cable,
    Camera,
    Connector,
    Drive,
    Injector,
    Item,
    Lead,
    Microphone,
    OpticalWriter,
    Recorder,
    Splitter,
    Supply,
    Switch,
)

CAMERA = (
    "- {id: odd, kind: camera, name: Odd, price: 1, picture: 1920x1080, frame_rate: 25 fps,\n"
    "   sensor_width: 5 mm, sensor_height: 3 mm, focal: 4 mm, temperature: -10 to 40 C,\n"
    "   lux_colour: 1 lx"
)
FED = "feeds: [{feed: 12 V DC, watts: 4 W, volts: 10.8 to 13.2 V}]"
RECORDER = (
    "- {id: odd, kind: recorder, name: Odd, price: 1, codecs: [H.264], ingest: 8 Mbit/s,\n"
    "   inputs: [{families: [network], count: 4, picture: 1920x1080}]"
)


def gaps(folder: Path, items: str = "", remove: list[str] | None = None) -> list[str]:
    """Gaps of the built-in book with some items more and others less."""
    text = "leastkit: book/1\nname: own\ncurrency: EUR\nextends: builtin\n"
    text += f"remove: [{', '.join(remove or [])}]\n"
    text += f"items:\n{items}" if items else ""
    path = folder / "own.yaml"
    path.write_text(text, encoding="utf-8")
    return check_book(load_book(path))


def ids(kind: type[Item]) -> list[str]:
    return [item.id for item in load_book().by_kind(kind)]


def test_the_built_in_book_has_none(tmp_path: Path) -> None:
    assert gaps(tmp_path) == []


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        (Camera, "there is no camera: nothing can be designed"),
        (Recorder, "there is no recorder: nothing can be designed"),
        (Drive, "there is no drive: no recorder can keep pictures"),
        (Microphone, "there is no microphone: sound needs cameras with one built in"),
        (
            Lead,
            "there is no ready-made lead: runs need cut cable, and switches lack their rack link",
        ),
        (Cable, "there is no cable: runs need ready-made leads or existing cable"),
        (Splitter, "there is no splitter: no microphone can share a camera's feed"),
        (
            Balun,
            "there is no balun: no composite or HD-coax picture can use category cable",
        ),
    ],
)
def test_a_kind_that_is_absent(tmp_path: Path, kind: type[Item], said: str) -> None:
    assert gaps(tmp_path, remove=ids(kind)) == [said]


def test_no_connector_leaves_every_fit_without_one(tmp_path: Path) -> None:
    # First and number of items of each fit: see builtin.yaml. RG-59: 10 boxes of five sorts of
    # coax with power and 2 + 1 + 1 + 2 of coax; RG-6: 1 and 2 + 2 + 1 + 1; RG-11: 2 + 1;
    # category 5e: 2 + 1 + 1 + 2 + 2; category 6: 2 + 1 + 1 + 1 + 1; audio: 2 + 1 + 1.
    assert gaps(tmp_path, remove=ids(Connector)) == [
        "there is no connector: new cable needs leads, or pairs with baluns",
        "no bnc connector fits the rg59 of cp59-18-500 and 15 more",
        "no bnc connector fits the rg6 of cp6-16-1000 and 6 more",
        "no bnc connector fits the rg11 of cx11-500 and 2 more",
        "no rj45 connector fits the cat5e of c5e-100 and 7 more",
        "no rj45 connector fits the cat6 of c6-100 and 5 more",
        "no rca connector fits the audio of ap22-500 and 3 more",
    ]


def test_no_supply_leaves_items_that_know_no_other_feed(tmp_path: Path) -> None:
    cameras = [c.id for c in load_book().by_kind(Camera) if c.poe_class is None]
    microphones = [m.id for m in load_book().by_kind(Microphone) if not m.plug_in]
    assert len(cameras) > 30
    assert gaps(tmp_path, remove=ids(Supply)) == [
        "there is no supply: cameras need PoE",
        *(
            f"nothing feeds camera {one}: no supply at its volts, no port of its class"
            for one in cameras
        ),
        *(f"nothing feeds microphone {one}: no 12 V DC supply at its volts" for one in microphones),
    ]


@pytest.mark.parametrize(
    ("gender", "use"),
    [
        (
            "male",
            "no pair can feed a camera with a barrel plug, and no lead a screw terminal",
        ),
        (
            "female",
            "no lead can feed a camera with terminals, and no pair hang on a barrel supply",
        ),
    ],
)
def test_a_gender_that_is_absent(tmp_path: Path, gender: str, use: str) -> None:
    remove = [f"pigtail-{gender}", f"pigtail-{gender}-10"]
    assert gaps(tmp_path, remove=remove) == [f"there is no {gender} pigtail: {use}"]


def test_no_optical_writer_for_a_bay(tmp_path: Path) -> None:
    book = load_book()
    with_bay = [r.id for r in book.by_kind(Recorder) if r.optical in ("own_bay", "drive_bay")]
    assert len(with_bay) >= 2
    assert gaps(tmp_path, remove=ids(OpticalWriter)) == [
        f"nobody sells the optical writer that recorder {one} has a bay for" for one in with_bay
    ]


def test_no_bracket_for_a_pattern(tmp_path: Path) -> None:
    # The pattern dome-plate: hc-1080-zoom-mini and nc-1080-zoom-mini, on br-dome and br-pole.
    # The pattern steer-ring has other brackets too.
    assert gaps(tmp_path, remove=["br-dome", "br-pole"]) == [
        "no bracket fits the pattern dome-plate of hc-1080-zoom-mini and 1 more"
    ]
    assert len(gaps(tmp_path, remove=ids(Bracket))) == 3


def test_no_tool_of_a_type(tmp_path: Path) -> None:
    # RG-11 is crimped with the connectors bnc-11-crimp and bnc-11-crimp-10.
    assert gaps(tmp_path, remove=["tool-crimp-11"]) == [
        "nobody sells the tool rg11-crimp for bnc-11-crimp and 1 more"
    ]
    # The tool bag solders too.
    assert gaps(tmp_path, remove=["tool-solder"]) == []


def test_no_coupler_of_a_type(tmp_path: Path) -> None:
    # Joinable power-and-audio leads: 25, 50, 100 and 150 ft.
    assert gaps(tmp_path, remove=["coupler-rca"]) == [
        "nobody sells the coupler rca for joints of lead-pa-25 and 3 more"
    ]


def test_no_mains_lead_of_a_type(tmp_path: Path) -> None:
    assert gaps(tmp_path, remove=["mains-c19"]) == [
        "nobody sells the mains lead c19 for rn-64-16bay"
    ]


def test_no_drive_small_enough(tmp_path: Path) -> None:
    small = [
        "drive-1tb", "drive-2tb", "drive-3tb", "drive-4tb",
    ]  # fmt: skip
    # rc-4 takes drives up to 4 TB; every other recorder takes 6 TB.
    assert gaps(tmp_path, remove=small) == ["no drive is small enough for recorder rc-4"]


def test_an_array_without_bays(tmp_path: Path) -> None:
    recorder = f"{RECORDER},\n   bays: 3, largest_drive: 4 TB, arrays: [mirror, '5', '6']}}\n"
    assert gaps(tmp_path, recorder) == [
        "recorder odd lists array 6, which takes 4 drives, but has 3 bays"
    ]


def test_no_recorder_of_a_family(tmp_path: Path) -> None:
    book = load_book()
    analogue = [
        r.id for r in book.by_kind(Recorder) if any("composite" in g.families for g in r.inputs)
    ]
    hd = [c.id for c in book.by_kind(Camera) if c.family == "hd_coax"]
    composite = [c.id for c in book.by_kind(Camera) if c.family == "composite"]
    assert gaps(tmp_path, remove=[*analogue, *hd]) == [
        f"no recorder takes the composite camera {one}" for one in composite
    ]


def test_no_recorder_of_a_codec(tmp_path: Path) -> None:
    book = load_book()
    wide = [r.id for r in book.by_kind(Recorder) if "MJPEG" in r.codecs]
    camera = f"{CAMERA}, family: network, codecs: [MJPEG], {FED}}}\n"
    assert gaps(tmp_path, camera) == []
    assert gaps(tmp_path, camera, remove=wide) == ["no recorder takes a codec of camera odd: MJPEG"]


def test_no_recorder_that_steers(tmp_path: Path) -> None:
    # Recorders of composite cameras that steer by coax are those of HD coax.
    book = load_book()
    hd = [r.id for r in book.by_kind(Recorder) if any("hd_coax" in g.families for g in r.inputs)]
    cameras = [c.id for c in book.by_kind(Camera) if c.family == "hd_coax"]
    camera = f"{CAMERA}, family: composite, steerable: true, control: coax, {FED}}}\n"
    assert gaps(tmp_path, camera) == []
    assert gaps(tmp_path, camera, remove=[*hd, *cameras]) == [
        "no recorder steers camera odd by coax"
    ]


def test_a_camera_at_odd_volts(tmp_path: Path) -> None:
    camera = (
        f"{CAMERA}, family: composite,\n"
        "   feeds: [{feed: 12 V DC, watts: 4 W, volts: 14 to 16 V}]}\n"
    )
    assert gaps(tmp_path, camera) == [
        "nothing feeds camera odd: no supply at its volts, no port of its class"
    ]


@pytest.mark.parametrize(
    ("poe_class", "fed"),
    # With the switches and injectors of class 6 and 8 gone, class 4 is the highest.
    [(0, True), (3, True), (4, True), (5, False), (8, False)],
)
def test_a_camera_of_a_class(tmp_path: Path, poe_class: int, fed: bool) -> None:
    book = load_book()
    strong = [i.id for i in book.by_kind(Injector) if i.poe_class > 4]
    strong += [s.id for s in book.by_kind(Switch) if s.poe and s.poe.poe_class > 4]
    # The one built-in camera of a higher class has a feed of 24 V AC too.
    camera = f"{CAMERA}, family: network, codecs: [H.264], poe_class: {poe_class}}}\n"
    said = ["nothing feeds camera odd: no supply at its volts, no port of its class"]
    assert gaps(tmp_path, camera, remove=strong) == ([] if fed else said)


def test_class_0_needs_what_class_3_needs(tmp_path: Path) -> None:
    # 15.4 W at the source for both: IEEE 802.3, shared/basis.md 5. A class 2 port gives 7 W.
    path = tmp_path / "own.yaml"
    path.write_text(
        "leastkit: book/1\nname: own\ncurrency: EUR\nitems:\n"
        f"{CAMERA}, family: network, codecs: [H.264], poe_class: 0}}\n"
        "- {id: i, kind: injector, name: I, price: 1, poe_class: 2}\n",
        encoding="utf-8",
    )
    said = "nothing feeds camera odd: no supply at its volts, no port of its class"
    assert said in check_book(load_book(path))
    path.write_text(path.read_text().replace("poe_class: 2", "poe_class: 0"), encoding="utf-8")
    assert said not in check_book(load_book(path))


@pytest.mark.parametrize(
    ("price", "said"),
    [
        ("5.00", []),
        ("4.99", ["the unit price of x falls by more than half when 4 are bought"]),
        ("10.00", []),
        ("10.01", ["the unit price of x rises when 4 are bought"]),
    ],
)
def test_breaks_that_are_probably_slips(tmp_path: Path, price: str, said: list[str]) -> None:
    item = (
        "- {id: x, kind: extra, name: X, price: 10.00,"
        f" breaks: [{{at_least: 4, price: {price}}}]}}\n"
    )
    assert gaps(tmp_path, item) == said


def test_each_break_is_compared_with_the_one_before(tmp_path: Path) -> None:
    item = (
        "- {id: x, kind: extra, name: X, price: 10.00,"
        " breaks: [{at_least: 4, price: 6.00}, {at_least: 8, price: 4.00},"
        " {at_least: 16, price: 1.99}]}\n"
    )
    # 10 -> 6 -> 4 stay above half; 1.99 is less than half of 4.
    assert gaps(tmp_path, item) == [
        "the unit price of x falls by more than half when 16 are bought"
    ]
