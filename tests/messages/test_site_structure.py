"""What is said of fields that are unknown, missing, doubled or of the wrong shape."""

from __future__ import annotations

import pytest

from optimizer.site import load_site
from tests.messages.refusals import assert_refused, changed
from tests.messages.sites import SITE

TOP = (
    "leastkit, name, note, standard, money, zones, plan, mounts, recording, audio, spare, owned, "
    "policy, assumptions, untouchable, wishes"
)
ZONE = (
    "id, name, distance, width, detail, frame_rate, place, ingress, impact, temperature, night, "
    "night_colour, steerable, discreet, recorded, retention, bit_rate, run, mains, route, "
    "existing, most_cameras"
)

CASES = {
    "unknown field at the top": (
        {2: "name: Depot\npolcy: {}"},
        f"""
        site.yaml:3: "polcy" is not a field here
          field:    polcy
          accepted: {TOP}
          hint:     did you mean "policy"?
        """,
    ),
    "unknown field like nothing": (
        {2: "name: Depot\nzzz: 1"},
        f"""
        site.yaml:3: "zzz" is not a field here
          field:    zzz
          accepted: {TOP}
          hint:     see `leastkit schema` for the fields and values that are known
        """,
    ),
    "known field in the wrong block": (
        {2: "name: Depot\nbudget: 2000"},
        f"""
        site.yaml:3: "budget" is not a field here
          field:    budget
          accepted: {TOP}
          hint:     it is a field of money: check the indentation
        """,
    ),
    "known field of several other blocks": (
        {26: "  retention: 31 days\n  run: 3 m"},
        """
        site.yaml:27: "run" is not a field here
          field:    recording.run
          accepted: retention, drive_failures, codec, activity, measured, reserve, export, displays
          hint:     it is a field of an entry of zones, an entry of mounts and 1 more: check the \
indentation
        """,
    ),
    "misspelt field in an entry of a list, told once": (
        {9: "    distnace: 8 m"},
        f"""
        site.yaml:9: "distnace" is not a field here
          field:    zones[0].distnace
          accepted: {ZONE}
          hint:     did you mean "distance"?
        """,
    ),
    "misspelt field in a list in a list": (
        {24: "        fits: cat6"},
        """
        site.yaml:24: "fits" is not a field here
          field:    zones[1].existing[0].fits
          accepted: medium, length, gauge, fit, terminated, count
          hint:     did you mean "fit"?
        """,
    ),
    "field with a letter that only looks right": (
        {9: "    dist\u0430nce: 8 m"},
        f"""
        site.yaml:9: "dist\u0430nce" is not a field here
          field:    zones[0].dist\u0430nce
          accepted: {ZONE}
          hint:     did you mean "distance"? (character 5 is U+0430, CYRILLIC SMALL LETTER A)
        """,
    ),
    "very long field": (
        {2: f"name: Depot\n{'x' * 900}: 1"},
        f"""
        site.yaml:3: "{"x" * 60}... (900 characters)" is not a field here
          field:    {"x" * 300}... (900 characters)
          accepted: {TOP}
          hint:     see `leastkit schema` for the fields and values that are known
        """,
    ),
    "missing quantity": (
        {13: ""},
        """
        site.yaml:8: "run" is missing
          field:    zones[0].run
          accepted: a length in m, cm, mm, km, ft or in, such as 30 m, 98 ft
          hint:     add a line 'run: 30 m'
        """,
    ),
    "missing block": (
        {25: "", 26: ""},
        """
        site.yaml:1: "recording" is missing
          field:    recording
          accepted: a mapping with the fields retention, drive_failures, codec, activity, \
measured, reserve, export, displays
          hint:     add a block 'recording:'
        """,
    ),
    "missing header": (
        {1: ""},
        """
        site.yaml:2: "leastkit" is missing
          field:    leastkit
          accepted: site/1
          hint:     add a line 'leastkit: site/1'
        """,
    ),
    "missing id": (
        {29: "    - name: desk"},
        """
        site.yaml:29: "id" is missing
          field:    audio.points[0].id
          accepted: an id: 1 to 64 small letters, digits, '.', '-' and '_'
          hint:     add a line 'id: back-door'
        site.yaml:29: "name" is not a field here
          field:    audio.points[0].name
          accepted: id, zone, run, route, place, mains, power, existing
          hint:     it is a field of the top level, an entry of zones and 3 more: check the \
indentation
        """,
    ),
    "price book in place of a site": (
        {1: "leastkit: book/1"},
        """
        site.yaml:1: this file is a price book, not a site
          field:    leastkit
          value:    book/1
          accepted: site/1
          hint:     check the order of the files in the command
        """,
    ),
    "later version": (
        {1: "leastkit: site/2"},
        """
        site.yaml:1: version "2" of this file format is not known here
          field:    leastkit
          value:    site/2
          accepted: site/1
          hint:     a newer leastkit may read it
        """,
    ),
    "header that names nothing": (
        {1: "leastkit: 1"},
        """
        site.yaml:1: this does not name the file format
          field:    leastkit
          value:    1
          accepted: site/1
          hint:     write site/1
        """,
    ),
    "header of the wrong shape": (
        {1: "leastkit: [site/1]"},
        """
        site.yaml:1: a list stands where one value is expected
          field:    leastkit
          value:    a list of 1 entry
          accepted: site/1
          hint:     write site/1 without the brackets or dash
        """,
    ),
    "field given twice": (
        {2: "name: Depot\nname: Store"},
        """
        site.yaml:3: this field is given twice, first in line 2
          field:    name
          accepted: each field once
          hint:     remove one of the two
        """,
    ),
    "field given twice in a list in a list": (
        {24: "        fit: cat6\n        gauge: 22 AWG"},
        """
        site.yaml:25: this field is given twice, first in line 23
          field:    zones[1].existing[0].gauge
          accepted: each field once
          hint:     remove one of the two
        """,
    ),
    "one word where a list is expected": (
        {36: "  families: network"},
        """
        site.yaml:36: a single value stands where a list is expected
          field:    policy.families
          value:    network
          accepted: a list of composite, hd_coax, network: one '- ' line for each entry
          hint:     write [network]
        """,
    ),
    "empty list of zones": (
        {7: "zones: []", **dict.fromkeys(range(8, 25), ""), 27: "", 28: "", 29: "", 30: "", 31: ""},
        """
        site.yaml:7: the list is empty
          field:    zones
          value:    a list of 0 entries
          accepted: at least 1 entry
          hint:     add an entry
        """,
    ),
    "zones as a mapping": (
        {7: "zones:", 8: "  gate:", **dict.fromkeys(range(14, 25), ""), 30: ""},
        """
        site.yaml:7: a mapping stands where a list is expected
          field:    zones
          value:    a mapping of 1 entry
          accepted: a list: one '- ' line for each entry
          hint:     start each entry with '- '
        """,
    ),
    "list where text is expected": (
        {2: "name: [Depot, South]"},
        """
        site.yaml:2: a list stands where one value is expected
          field:    name
          value:    a list of 2 entries
          accepted: one line of text, at most 200 characters
          hint:     write one value
        """,
    ),
    "list where a quantity is expected": (
        {13: "    run: [40 m]"},
        """
        site.yaml:13: a list stands where one value is expected
          field:    zones[0].run
          value:    a list of 1 entry
          accepted: a length in m, cm, mm, km, ft or in, such as 30 m, 98 ft
          hint:     write 40 m without the brackets or dash
        """,
    ),
    "mapping where a quantity is expected": (
        {13: "    run: {length: 40 m}"},
        """
        site.yaml:13: a mapping stands where one value is expected
          field:    zones[0].run
          value:    a mapping of 1 entry
          accepted: a length in m, cm, mm, km, ft or in, such as 30 m, 98 ft
          hint:     write one value
        """,
    ),
    "list where a whole number is expected": (
        {34: "    quantity: [2]"},
        """
        site.yaml:34: a list stands where one value is expected
          field:    owned[0].quantity
          value:    a list of 1 entry
          accepted: a whole number from 1 to 10000
          hint:     write 2 without the brackets or dash
        """,
    ),
    "value where a mapping is expected": (
        {26: "  retention: 31 days\n  displays: hdmi"},
        """
        site.yaml:27: a single value stands where a mapping is expected
          field:    recording.displays
          value:    hdmi
          accepted: a mapping with the fields hdmi, vga, composite
          hint:     write the fields below it, one 'name: value' a line, indented
        """,
    ),
    "value where a mapping with free names is expected": (
        {26: "  retention: 31 days\n  measured: 4 Mbit/s"},
        """
        site.yaml:27: a single value stands where a mapping is expected
          field:    recording.measured
          value:    4 Mbit/s
          accepted: a mapping: one 'name: value' line for each entry
          hint:     write the fields below it, one 'name: value' a line, indented
        """,
    ),
    "free name that is no id": (
        {26: "  retention: 31 days\n  measured:\n    My Dome: 4 Mbit/s"},
        """
        site.yaml:28: this is not a usable id
          field:    recording.measured.My Dome
          value:    My Dome
          accepted: 1 to 64 small letters a to z, digits, '.', '-' and '_', starting with a \
letter or digit
          hint:     did you mean "my-dome"?
        """,
    ),
    "value of a free name": (
        {26: "  retention: 31 days\n  measured:\n    my-dome: 4 Mbps"},
        """
        site.yaml:28: "Mbps" is not a unit of bit rate
          field:    recording.measured.my-dome
          value:    4 Mbps
          accepted: a bit rate in Mbit/s, kbit/s, bit/s or Gbit/s, such as 4 Mbit/s
          hint:     did you mean "4 Mbit/s"?
        """,
    ),
    "block left empty": (
        {25: "recording:", 26: "spare:"},
        """
        site.yaml:25: there is no value here
          field:    recording
          value:    nothing
          accepted: a mapping with the fields retention, drive_failures, codec, activity, \
measured, reserve, export, displays
          hint:     write a value, or remove the line
        site.yaml:26: there is no value here
          field:    spare
          value:    nothing
          accepted: a mapping with the fields channels, storage, supply
          hint:     write a value, or remove the line
        """,
    ),
    "list left empty": (
        {33: "", 34: ""},
        """
        site.yaml:32: there is no value here
          field:    owned
          value:    nothing
          accepted: a list: one '- ' line for each entry
          hint:     write a value, or remove the line
        """,
    ),
    "value left empty": (
        {13: "    run:"},
        """
        site.yaml:13: there is no value here
          field:    zones[0].run
          value:    nothing
          accepted: a length in m, cm, mm, km, ft or in, such as 30 m, 98 ft
          hint:     write a value, such as 'run: 30 m', or remove the line
        """,
    ),
    "number left empty": (
        {34: "    quantity:"},
        """
        site.yaml:34: there is no value here
          field:    owned[0].quantity
          value:    nothing
          accepted: a whole number from 1 to 10000
          hint:     write a value, such as 'quantity: 1', or remove the line
        """,
    ),
    "entry left empty": (
        {37: "  forbid:\n    - old-dome\n    -"},
        """
        site.yaml:39: there is no value here
          field:    policy.forbid[1]
          value:    nothing
          accepted: an id: 1 to 64 small letters, digits, '.', '-' and '_'
          hint:     write a value, or remove the line
        """,
    ),
    "existing cable without gauge": (
        {23: ""},
        """
        site.yaml:21: an existing category needs its gauge
          field:    zones[1].existing[0].gauge
          accepted: a gauge in AWG, such as 18 AWG
          hint:     add a line 'gauge: ...'; it is printed on the jacket
        """,
    ),
    "existing cable without fit": (
        {24: ""},
        """
        site.yaml:21: an existing category needs its fit
          field:    zones[1].existing[0].fit
          accepted: cat5e, cat6
          hint:     add a line 'fit: cat5e'
        """,
    ),
    "existing cable with the fit of another": (
        {24: "        fit: rg59"},
        """
        site.yaml:24: this is not a fit of an existing category
          field:    zones[1].existing[0].fit
          value:    rg59
          accepted: cat5e, cat6
          hint:     put fit or medium right
        """,
    ),
    "explicit tag": (
        {2: "name: !!python/object/apply:os.system [ls]"},
        """
        site.yaml:2: the tag "!!python/object/apply:os.system" is not accepted
          field:    name
          accepted: plain values: the field says what is meant
          hint:     remove the tag
        site.yaml:2: a list stands where one value is expected
          field:    name
          value:    a list of 1 entry
          accepted: one line of text, at most 200 characters
          hint:     write ls without the brackets or dash
        """,
    ),
    "field name that is no text": (
        {2: "name: Depot\n? [a, b]\n: 1"},
        """
        site.yaml:3: a field name must be plain text
          accepted: name: value
          hint:     quote a value that starts with a bracket, a brace or a star
        """,
    ),
    "merge of something else": (
        {2: "name: &word Depot\n<<: *word"},
        """
        site.yaml:3: only a mapping can be merged in
          field:    <<
          accepted: <<: *name, where &name marks a mapping, or a list of such
          hint:     write the fields out
        """,
    ),
    "wrong value in what an alias repeats, told where it is written": (
        {
            **dict.fromkeys(range(8, 25), ""),
            8: "  - &base\n    id: gate",
            9: "    distance: 8",
            10: "    width: 6 m\n    detail: recognise\n    frame_rate: 15 fps\n    run: 40 m",
            11: "  - <<: *base\n    id: yard",
        },
        """
        site.yaml:10: the unit is missing
          field:    zones[0].distance
          value:    8
          accepted: a length in m, cm, mm, km, ft or in, such as 30 m, 98 ft
          hint:     did you mean "8 m"?
        site.yaml:10: the unit is missing
          field:    zones[1].distance
          value:    8
          accepted: a length in m, cm, mm, km, ft or in, such as 30 m, 98 ft
          hint:     did you mean "8 m"?
        """,
    ),
    "three things wrong, told in the order of the file": (
        {5: "  tax: 21", 13: "    run: 40 M", 30: "      zone: gat", 37: "  forbit: [old-dome]"},
        """
        site.yaml:5: the unit is missing
          field:    money.tax
          value:    21
          accepted: a share in %, such as 20 %
          hint:     did you mean "21 %"?
        site.yaml:13: "M" is not a unit of length
          field:    zones[0].run
          value:    40 M
          accepted: a length in m, cm, mm, km, ft or in, such as 30 m, 98 ft
          hint:     did you mean "40 m"?
        site.yaml:30: there is no zone "gat"
          field:    audio.points[0].zone
          value:    gat
          accepted: gate, yard
          hint:     did you mean "gate"?
        site.yaml:37: "forbit" is not a field here
          field:    policy.forbit
          accepted: families, require, forbid, most_camera_models, connectors, most_joints, labour
          hint:     did you mean "forbid"?
        """,
    ),
}


@pytest.mark.parametrize("title", CASES)
def test_structure(title: str) -> None:
    lines, expected = CASES[title]
    assert_refused(load_site, "site.yaml", changed(SITE, lines), expected)


def test_every_wrong_zone_is_told_and_the_list_is_cut() -> None:
    zone = "  - {{id: z{}, distance: 8, width: 6 m, detail: detect, frame_rate: 5 fps, run: 1 m}}\n"
    head = "leastkit: site/1\nname: Depot\nmoney: {currency: EUR}\nrecording: {retention: 1 days}\n"
    text = head + "zones:\n" + "".join(zone.format(i) for i in range(60))
    one = """\
site.yaml:{}: the unit is missing
  field:    zones[{}].distance
  value:    8
  accepted: a length in m, cm, mm, km, ft or in, such as 30 m, 98 ft
  hint:     did you mean "8 m"?
"""
    # Zone i stands in line 6 + i; 50 of the 60 are written out.
    expected = "".join(one.format(6 + i, i) for i in range(50)) + "and 10 more like these"
    assert_refused(load_site, "site.yaml", text, expected)
