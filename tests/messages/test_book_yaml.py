"""What is said of a price book in YAML that cannot be used."""

# ruff: noqa: E501 - messages stand here as they are printed

from __future__ import annotations

import pytest

from optimizer.pricebook import load_book
from tests.messages.refusals import assert_refused

HEAD = "leastkit: book/1\nname: my prices\ncurrency: EUR\n"
EXTRA = "- {id: a, kind: extra, name: A, price: 1}\n"
KINDS = (
    "camera, recorder, drive, optical_writer, microphone, lead, cable, connector, pigtail, "
    "coupler, splitter, tool, balun, supply, switch, injector, bracket, mains_lead, extra"
)
CAMERA = (
    "- {id: a, kind: camera, name: A, price: 1, picture: 720x576, frame_rate: 25 fps,\n"
    "   sensor_width: 4.8 mm, sensor_height: 3.6 mm, focal: 4 mm, temperature: -10 to 40 C,\n"
    "   "
)
RECORDER = (
    "- {id: r, kind: recorder, name: R, price: 1, codecs: [H.264], bays: 1, largest_drive: 4 TB"
)
CABLE = "- {id: c, kind: cable, name: C, price: 1, construction: c, box: 100 m"
LEAD = "- {id: l, kind: lead, name: L, price: 1, series: l, length: 10 m"
SUPPLY = (
    "- {id: s, kind: supply, name: S, price: 1, feed: 12 V DC, volts: 12 V, output_amps: 1 A, "
    "total_amps: 1 A"
)

# title: (what follows the head, the whole message)
CASES = {
    "no items": (
        "",
        """
        book.yaml:1: the price book has no items
          field:    items
          accepted: at least one item
          hint:     list items, or add a line 'extends: builtin'
        """,
    ),
    "an empty list": (
        "items: []\n",
        """
        book.yaml:4: the price book has no items
          field:    items
          accepted: at least one item
          hint:     list items, or add a line 'extends: builtin'
        """,
    ),
    "the same id twice": (
        f"items:\n{EXTRA}{EXTRA.replace('id: a', 'id: b')}{EXTRA}",
        """
        book.yaml:7: two items have the id "a"; the first is in book.yaml:5
          field:    items[2].id
          value:    a
          accepted: an id of its own for each item
          hint:     rename or remove one of the two
        """,
    ),
    "the same offer twice": (
        f"items:\n{EXTRA}"
        "offers:\n"
        "- {id: o, name: O, when: [{items: [a], at_least: 1}], off: 1}\n"
        "- {id: o, name: O, when: [{items: [a], at_least: 2}], off: 2}\n",
        """
        book.yaml:8: two offers have the id "o"; the first is in book.yaml:7
          field:    offers[1].id
          value:    o
          accepted: an id of its own for each offer
          hint:     rename or remove one of the two
        """,
    ),
    "a negative price": (
        f"items:\n{EXTRA.replace('price: 1', 'price: -1')}",
        """
        book.yaml:5: an amount of money cannot be negative here
          field:    items[0].price
          value:    -1
          accepted: an amount from 0 to 999999999.99 with at most two decimals, such as 12.50
          hint:     leave the sign out; a reduction is an offer of the price book
        """,
    ),
    "an unknown kind": (
        f"items:\n{EXTRA.replace('extra', 'cammera')}",
        f"""
        book.yaml:5: this is not one of the choices
          field:    items[0].kind
          value:    cammera
          accepted: {KINDS}
          hint:     did you mean "camera"?
        """,
    ),
    "no kind": (
        "items:\n- {id: a, name: A, price: 1}\n",
        f"""
        book.yaml:5: "kind" is missing
          field:    items[0].kind
          accepted: {KINDS}
          hint:     add a line 'kind: camera' (or another kind)
        """,
    ),
    "an unknown field of an item": (
        "items:\n- id: a\n  kind: drive\n  name: A\n  price: 1\n  capasity: 4 TB\n",
        """
        book.yaml:9: "capasity" is not a field here
          field:    items[0].capasity
          accepted: id, name, price, breaks, note, kind, capacity, watts
          hint:     did you mean "capacity"?
        """,
    ),
    "an unknown field of the book": (
        f"item:\n{EXTRA}",
        """
        book.yaml:4: "item" is not a field here
          field:    item
          accepted: leastkit, name, currency, note, extends, remove, items, offers
          hint:     did you mean "items"?
        """,
    ),
    "another base": (
        "extends: builtins\n",
        """
        book.yaml:4: this is not one of the choices
          field:    extends
          value:    builtins
          accepted: builtin
          hint:     did you mean "builtin"?
        """,
    ),
    "removing what is not there": (
        "extends: builtin\nremove: [drive-4t, zzzzzz]\n",
        """
        book.yaml:5: the built-in book has nothing called "drive-4t"
          field:    remove[0]
          value:    drive-4t
          accepted: ids of items and offers of the built-in book
          hint:     did you mean "drive-4tb"?
        book.yaml:5: the built-in book has nothing called "zzzzzz"
          field:    remove[1]
          value:    zzzzzz
          accepted: ids of items and offers of the built-in book
          hint:     `leastkit book list` shows the ids
        """,
    ),
    "removing from nothing": (
        f"remove: [drive-4tb]\nitems:\n{EXTRA}",
        """
        book.yaml:4: there is nothing to remove from
          field:    remove
          accepted: remove beside extends
          hint:     add a line 'extends: builtin', or leave remove out
        """,
    ),
    "removing what is given": (
        f"extends: builtin\nremove: [sign]\nitems:\n{EXTRA.replace('id: a', 'id: sign')}",
        """
        book.yaml:5: "sign" is removed and given in the same book
          field:    remove[0]
          value:    sign
          accepted: ids that this book does not give itself
          hint:     to replace an item it is enough to give it again under its id
        """,
    ),
    "boxes of one construction that differ": (
        "items:\n"
        "- {id: a, kind: cable, name: A, price: 1, medium: coax, construction: c, box: 100 m,"
        " fit: rg59}\n"
        "- id: b\n"
        "  kind: cable\n"
        "  name: B\n"
        "  price: 2\n"
        "  medium: coax\n"
        "  construction: c\n"
        "  box: 200 m\n"
        "  fit: rg6\n"
        "  outdoor: true\n"
        "  reach: {composite: 300 m}\n",
        """
        book.yaml:13: "b" and "a" share the construction "c" but differ in fit
          field:    items[1].fit
          value:    rg6
          accepted: rg59, as in a
          hint:     give one of the two another construction, or put fit right
        book.yaml:14: "b" and "a" share the construction "c" but differ in outdoor
          field:    items[1].outdoor
          value:    true
          accepted: false, as in a
          hint:     give one of the two another construction, or put outdoor right
        book.yaml:15: "b" and "a" share the construction "c" but differ in reach
          field:    items[1].reach
          value:    composite: 300 m
          accepted: nothing, as in a
          hint:     give one of the two another construction, or put reach right
        """,
    ),
    "a box that differs from the built-in ones of its construction": (
        "extends: builtin\n"
        "items:\n"
        "- {id: cp59-18-500, kind: cable, name: A, price: 1, medium: coax_power,\n"
        "   construction: cp59-18, box: 500 ft, fit: rg59, gauge: 16 AWG}\n",
        """
        book.yaml:7: "cp59-18-500" and "cp59-18-1000" share the construction "cp59-18" but differ in gauge
          field:    items[0].gauge
          value:    16 AWG
          accepted: 18 AWG, as in cp59-18-1000
          hint:     give one of the two another construction, or put gauge right
        """,
    ),
    "a lead that differs from its series": (
        f"items:\n{LEAD}, carries: [data], fit: cat6}}\n"
        f"{LEAD.replace('id: l', 'id: m')}, carries: [data]}}\n",
        """
        book.yaml:6: "m" and "l" share the series "l" but differ in fit
          field:    items[1].fit
          value:    nothing
          accepted: cat6, as in l
          hint:     give one of the two another series, or put fit right
        """,
    ),
    "an offer that names an unknown item, and one twice": (
        "extends: builtin\n"
        "offers:\n"
        "- id: o\n"
        "  name: O\n"
        "  when: [{items: [drive-4tbb, sign], at_least: 1}]\n"
        "  percent: 10 %\n"
        "  on: [sign, sign]\n",
        """
        book.yaml:8: offer "o" names an item that is not in the book
          field:    offers[0].when[0].items[0]
          value:    drive-4tbb
          accepted: ids of items of this book
          hint:     did you mean "drive-4tb"?
        book.yaml:10: offer "o" names an item twice in one list
          field:    offers[0].on[1]
          value:    sign
          accepted: each item once
          hint:     remove one of the two
        """,
    ),
    "an offer that names a removed item": (
        "extends: builtin\n"
        "remove: [keyboard]\n"
        "offers:\n"
        "- {id: o, name: O, when: [{items: [keyboard], at_least: 1}], off: 1}\n",
        """
        book.yaml:7: offer "o" names an item that is not in the book
          field:    offers[0].when[0].items[0]
          value:    keyboard
          accepted: ids of items of this book
          hint:     `leastkit book list` shows the ids
        """,
    ),
    "an offer of both kinds": (
        f"items:\n{EXTRA}"
        "offers:\n"
        "- {id: o, name: O, when: [{items: [a], at_least: 1}], off: 1, percent: 5 %, on: [a]}\n",
        """
        book.yaml:7: an offer gives one of off and percent
          field:    offers[0].off
          value:    1
          accepted: off: a sum; or percent beside on
          hint:     keep one of the two
        """,
    ),
    "an offer of no kind": (
        f"items:\n{EXTRA}offers:\n- {{id: o, name: O, when: [{{items: [a], at_least: 1}}]}}\n",
        """
        book.yaml:7: an offer gives one of off and percent
          field:    offers[0].off
          accepted: off: a sum; or percent beside on
          hint:     add a line 'off: 10.00'
        """,
    ),
    "a percentage of nothing": (
        f"items:\n{EXTRA}"
        "offers:\n"
        "- {id: o, name: O, when: [{items: [a], at_least: 1}], percent: 5 %}\n",
        """
        book.yaml:7: percent and on go together
          field:    offers[0].on
          accepted: on: ids of the items that are reduced, beside percent
          hint:     add the one that is missing, or remove the other
        """,
    ),
    # 60 % of 1.00 and 40 % of 1.00 are the whole price; each of the two is fine by itself.
    "offers that together take off more than a piece costs": (
        f"items:\n{EXTRA}"
        "offers:\n"
        "- {id: o, name: O, when: [{items: [a], at_least: 1}], percent: 60 %, on: [a]}\n"
        "- id: p\n"
        "  name: P\n"
        "  when: [{items: [a], at_least: 5}]\n"
        "  percent: 41 %\n"
        "  on: [a]\n",
        """
        book.yaml:11: offers take up to 1.01 off each "a", whose lowest unit price is 1.00
          field:    offers[1].percent
          value:    41 %
          accepted: percentages that together take off 1.00 at most
          hint:     lower a percentage, or leave "a" out of on: "o" and "p"
        """,
    ),
    # Half of the list price, where 100 pieces cost 0.49 each.
    "an offer that takes off more than the lowest price": (
        "items:\n"
        "- {id: a, kind: extra, name: A, price: 1, breaks: [{at_least: 100, price: 0.49}]}\n"
        "offers:\n"
        "- {id: o, name: O, when: [{items: [a], at_least: 1}], percent: 50 %, on: [a], most: 1}\n",
        """
        book.yaml:7: offers take up to 0.50 off each "a", whose lowest unit price is 0.49
          field:    offers[0].percent
          value:    50 %
          accepted: percentages that together take off 0.49 at most
          hint:     lower a percentage, or leave "a" out of on: "o"
        """,
    ),
    # A built-in offer takes 12 % of 50.00 off the drive.
    "a price below what a built-in offer takes off": (
        "extends: builtin\n"
        "items:\n"
        "- id: drive-1tb\n"
        "  kind: drive\n"
        "  name: D\n"
        "  price: 50\n"
        "  breaks:\n"
        "  - {at_least: 4, price: 40}\n"
        "  - {at_least: 9, price: 5.99}\n"
        "  capacity: 1 TB\n",
        """
        book.yaml:12: offers take up to 6.00 off each "drive-1tb", whose lowest unit price is 5.99
          field:    items[0].breaks[1].price
          value:    5.99
          accepted: at least 6.00, what offers take off: "first-drive"
          hint:     raise the price, or leave the offer out: remove "first-drive"
        """,
    ),
    "a sum for most pieces": (
        f"items:\n{EXTRA}"
        "offers:\n"
        "- {id: o, name: O, when: [{items: [a], at_least: 1}], off: 5, most: 2}\n",
        """
        book.yaml:7: most goes with percent only
          field:    offers[0].most
          value:    2
          accepted: percent beside most
          hint:     remove most: a sum comes off once
        """,
    ),
    "breaks that do not rise": (
        "items:\n"
        "- {id: a, kind: extra, name: A, price: 2,\n"
        "   breaks: [{at_least: 8, price: 1}, {at_least: 4, price: 1}]}\n",
        """
        book.yaml:6: the price breaks do not rise
          field:    items[0].breaks
          value:    a list of 2 entries
          accepted: each at_least once, from small to large
          hint:     put them in rising order of at_least
        """,
    ),
    "no light": (
        f"items:\n{CAMERA}family: composite, lux_colour: 0 lx}}\n",
        """
        book.yaml:7: no sensor sees without light: 0 lx on a data sheet means the infra-red lamp
          field:    items[0].lux_colour
          value:    0 lx
          accepted: more than 0 lx
          hint:     give the lamp's reach as infrared, and here the figure without the lamp
        """,
    ),
    "a camera that nothing feeds": (
        f"items:\n{CAMERA}family: composite, lux_colour: 1 lx}}\n",
        """
        book.yaml:5: nothing can feed this camera
          field:    items[0].feeds
          accepted: feeds, or a poe_class, or both
          hint:     add feeds, such as '- {feed: 12 V DC, watts: 5 W, volts: 10.8 to 13.2 V}'
        """,
    ),
    "a network camera without codecs": (
        f"items:\n{CAMERA}family: network, lux_colour: 1 lx, poe_class: 2}}\n",
        """
        book.yaml:5: a network camera needs its codecs
          field:    items[0].codecs
          accepted: a list of H.264, H.265, MJPEG
          hint:     add a line 'codecs: [H.264]'
        """,
    ),
    "a composite camera with a class": (
        f"items:\n{CAMERA}family: composite, lux_colour: 1 lx, poe_class: 2}}\n",
        """
        book.yaml:7: a composite camera has no PoE class
          field:    items[0].poe_class
          value:    2
          accepted: a class for network cameras only
          hint:     remove poe_class, or put family right
        """,
    ),
    "the same feed twice": (
        f"items:\n{CAMERA}family: composite, lux_colour: 1 lx,\n"
        "   feeds: [{feed: 24 V AC, watts: 4 W, volts: 24 V},"
        " {feed: 24 V AC, watts: 5 W, volts: 24 V}]}\n",
        """
        book.yaml:8: the same feed stands twice
          field:    items[0].feeds
          value:    a list of 2 entries
          accepted: each of 12 V DC and 24 V AC at most once
          hint:     keep one of the two
        """,
    ),
    "a family in two groups": (
        f"items:\n{RECORDER}, ingest: 8 Mbit/s, inputs: [{{families: [network], count: 4,\n"
        "   picture: 1920x1080}, {families: [network], count: 4, picture: 1920x1080}]}\n",
        """
        book.yaml:5: a signal family stands in two groups of inputs
          field:    items[0].inputs
          value:    a list of 2 entries
          accepted: each family in one group
          hint:     make one group of them, with the sum of the counts
        """,
    ),
    "network and coax in one group": (
        f"items:\n{RECORDER},\n"
        "   inputs: [{families: [network, hd_coax], count: 4, picture: 1920x1080}]}\n",
        """
        book.yaml:6: network inputs share a group with others
          field:    items[0].inputs
          value:    a list of 1 entry
          accepted: a group of their own for network inputs
          hint:     write two groups, and the cap over both as channels
        """,
    ),
    "no encode rate": (
        f"items:\n{RECORDER},\n"
        "   inputs: [{families: [hd_coax], count: 4, picture: 1920x1080}]}\n",
        """
        book.yaml:5: a recorder with composite or hd_coax inputs needs its encode_rate
          field:    items[0].encode_rate
          accepted: a picture rate in Mpx/s, kpx/s or px/s, such as 120 Mpx/s
          hint:     width x height x pictures a second, over all inputs: 8 inputs of 1920x1080 at 15 fps are 249 Mpx/s
        """,
    ),
    "no ingest": (
        f"items:\n{RECORDER},\n"
        "   inputs: [{families: [network], count: 4, picture: 1920x1080}]}\n",
        """
        book.yaml:5: a recorder with network inputs needs its ingest
          field:    items[0].ingest
          accepted: a bit rate in Mbit/s, kbit/s, bit/s or Gbit/s, such as 4 Mbit/s
          hint:     it is the bit rate that all network streams together may have
        """,
    ),
    "a microphone that nothing feeds": (
        "items:\n- {id: m, kind: microphone, name: M, price: 1}\n",
        """
        book.yaml:5: nothing can feed this microphone
          field:    items[0].volts
          accepted: volts, or plug_in: true, or both
          hint:     add a line 'volts: 10.8 to 13.2 V' or 'plug_in: true'
        """,
    ),
    "a lead of an unknown sort": (
        f"items:\n{LEAD}, carries: [video, audio]}}\n",
        """
        book.yaml:5: no lead is known that carries these together
          field:    items[0].carries
          value:    a list of 2 entries
          accepted: [video, power], [video, power, audio], [power, audio] or [data]
          hint:     use one of these four
        """,
    ),
    "a lead without gauge": (
        f"items:\n{LEAD}, carries: [power, audio]}}\n",
        """
        book.yaml:5: a lead that carries power needs its gauge
          field:    items[0].gauge
          accepted: a gauge in AWG, such as 18 AWG
          hint:     it decides the voltage at the camera; it is printed on the jacket
        """,
    ),
    "a lead without fit": (
        f"items:\n{LEAD}, carries: [video, power], gauge: 20 AWG}}\n",
        """
        book.yaml:5: a lead that carries video needs the fit of its coax
          field:    items[0].fit
          accepted: rg59, rg6, rg11
          hint:     add a line 'fit: rg59'
        """,
    ),
    "a lead of no length": (
        f"items:\n{LEAD.replace('10 m', '0 m')}, carries: [data]}}\n",
        """
        book.yaml:5: this length is outside the range that is believable here
          field:    items[0].length
          value:    0 m
          accepted: 1 cm to 100 km
          hint:     check the number and its unit
        """,
    ),
    "a cable without gauge": (
        f"items:\n{CABLE}, medium: power_pair}}\n",
        """
        book.yaml:5: a power_pair cable needs its gauge
          field:    items[0].gauge
          accepted: a gauge in AWG, such as 18 AWG
          hint:     it decides the voltage at the camera; it is printed on the jacket
        """,
    ),
    "a cable without fit": (
        f"items:\n{CABLE}, medium: category, gauge: 24 AWG}}\n",
        """
        book.yaml:5: a category cable needs its fit
          field:    items[0].fit
          accepted: cat5e, cat6
          hint:     add a line 'fit: cat5e'
        """,
    ),
    "a connector on the wrong cable": (
        "items:\n"
        "- {id: b, kind: connector, name: B, price: 1, type: bnc, fits: [cat6], method: crimp}\n",
        """
        book.yaml:5: a connector of type bnc does not fit these
          field:    items[0].fits
          value:    a list of 1 entry
          accepted: rg59, rg6, rg11
          hint:     put type or fits right
        """,
    ),
    "a balun whose power goes nowhere": (
        "items:\n"
        "- {id: b, kind: balun, name: B, price: 1, families: [composite], reach: 900 m,"
        " watts: 1 W}\n",
        """
        book.yaml:5: a balun that draws power at the camera end must carry it there
          field:    items[0].power_pairs
          accepted: power_pairs from 1 to 3 beside watts
          hint:     add a line 'power_pairs: 1', or leave watts out
        """,
    ),
    "an adapter with two outputs": (
        f"items:\n{SUPPLY}, form: adapter, outputs: 2, ends: barrel}}\n",
        """
        book.yaml:5: an adapter has one output
          field:    items[0].outputs
          value:    2
          accepted: 1
          hint:     call it multiway if it has several barrel plugs
        """,
    ),
    "a distribution supply with plugs": (
        f"items:\n{SUPPLY}, form: distribution, outputs: 4, ends: barrel}}\n",
        """
        book.yaml:5: the outputs of a supply of form distribution are not of this kind
          field:    items[0].ends
          value:    barrel
          accepted: screw
          hint:     put form or ends right
        """,
    ),
    "a supply without voltage": (
        f"items:\n{SUPPLY.replace('volts: 12 V', 'volts: 0 V')},\n"
        "   form: distribution, outputs: 4, ends: screw}\n",
        """
        book.yaml:5: this voltage is outside the range that is believable here
          field:    items[0].volts
          value:    0 V
          accepted: 1 V to 500 V
          hint:     check the number and its unit
        """,
    ),
    "more powered ports than ports": (
        "items:\n"
        "- {id: s, kind: switch, name: S, price: 1, ports: 4,\n"
        "   poe: {ports: 8, poe_class: 3, budget: 60 W}}\n",
        """
        book.yaml:5: a switch cannot have more powered ports than ports
          field:    items[0].ports
          value:    4
          accepted: at least 8
          hint:     count the powered ports in ports too
        """,
    ),
    "not well-formed": (
        "items:\n- {id: a, kind: extra\n",
        """
        book.yaml:5: the price book is not well-formed YAML: a brace is opened here and not closed
          accepted: one YAML document
          hint:     close it with }, and part the fields by commas
        """,
    ),
}


@pytest.mark.parametrize("title", CASES)
def test_refused(title: str) -> None:
    rest, expected = CASES[title]
    assert_refused(load_book, "book.yaml", HEAD + rest, expected)


def test_another_currency_than_the_built_in_one() -> None:
    assert_refused(
        load_book,
        "book.yaml",
        HEAD.replace("EUR", "USD") + "extends: builtin\n",
        """
        book.yaml:3: the built-in prices are in EUR and are not converted
          field:    currency
          value:    USD
          accepted: EUR, or a book without extends
          hint:     leave extends out and give all items in your own currency
        """,
    )
