"""Explanations, what-ifs, alternatives and price curves at 80 columns, word for word."""

from __future__ import annotations

import io
import re
import sys

import pytest
from rich.console import Console

from optimizer.errors import InputError
from optimizer.explaining.asking_plan import OVER
from optimizer.reporting import (
    render,
    render_alternatives,
    render_explanation,
    render_steps,
    render_what_if,
)
from optimizer.reporting.explanation import saving, swapped
from optimizer.reporting.explanation_plot import check_plot, drawn
from optimizer.solving.answer import Answer
from optimizer.solving.explanation import (
    Binding,
    Change,
    FigureStatus,
    Headroom,
    ItemChange,
    JointlyBinding,
    NextSaving,
    PriceCurve,
    PriceLevel,
    Step,
)
from optimizer.solving.variants import (
    Alternatives,
    BillDifference,
    Kinds,
    LineChange,
    OtherItem,
    Variant,
    WhatIf,
    Why,
)
from tests.unit.reporting import handmade

SOLVERS_WORDS = re.compile(r"\b(dual|slack|infeasible|literal|constraint|objective|variable)s?\b")


def change(name: str, asked: str, to: str, steps: int | None = 1) -> Change:
    return Change(requirement=name, asked=asked, to=to, steps=steps)


def step(
    one: Change,
    difference: str | None,
    *items: ItemChange,
    status: FigureStatus = "proven",
    **more: str,
) -> Step:
    after = None if difference is None else f"{829.58 + float(difference):.2f}"
    return Step(changes=(one,), status=status, before="829.58", after=after,
                difference=difference, items=items, **more)  # fmt: skip


DETAIL = change("zones.gate/detail", "identify", "recognise")
RETENTION = change("recording/retention", "31 days", "59 days", 28)
DRIVE = (
    ItemChange(item="drive-4tb", before=1, after=0),
    ItemChange(item="drive-6tb", before=0, after=1),
)
BINDING = (
    Binding(
        requirement="zones.gate/detail",
        text="gate: detail identify",
        asked="identify",
        binds=True,
        eased=step(DETAIL, "-71.40"),
        dropped=step(change("zones.gate/detail", "identify", "not asked", None), "-71.40"),
    ),
    Binding(
        requirement="policy/require.sign",
        text="2 sign in the kit",
        asked="2",
        binds=True,
        eased=step(change("policy/require.sign", "2", "1"), "-5.36"),
        dropped=step(change("policy/require.sign", "2", "not asked", None), "-10.71"),
    ),
    Binding(
        requirement="recording/retention",
        text="pictures are kept for 31 days",
        asked="31 days",
        binds=False,
        eased=step(change("recording/retention", "31 days", "30 days"), "0.00"),
        dropped=step(change("recording/retention", "31 days", "not asked", None), "0.00"),
    ),
)
HEADROOM = (
    Headroom(
        requirement="recording/retention",
        text="pictures are kept for 31 days",
        asked="31 days",
        reaches="58 days",
        steps=27,
        next=step(RETENTION, "39.00", *DRIVE),
    ),
    Headroom(
        requirement="recording/drive_failures",
        text="0 drives may fail without loss",
        asked="0",
        reaches="0",
        steps=0,
        next=step(
            change("recording/drive_failures", "0", "1"),
            None,
            status="unmeetable",
            because="no array fits",
        ),
    ),
    Headroom(
        requirement="spare/channels", text="", asked="0", reaches="3", steps=3, proven=False
    ),
    Headroom(requirement="spare/storage", text="", asked="0 %", reaches="100 %", steps=20,
             endless=True),
)  # fmt: skip
WHY = (
    Why(
        item="rec-8",
        because="holds 2,131 of 4,000 GB, 4 of 8 channels",
        demands=("zones.till", "recording/retention"),
        others=(
            OtherItem(
                item="rec-3",
                price="140.00",
                place="recorder-1",
                limit="it has 3 channels for 4 cameras",
            ),
        ),
        would_do=("rec-plain",),
        without=step(change("policy/forbid.rec-8", "allowed", "forbidden", None), "39.00"),
    ),
    Why(item="sign", because="the site requires 2", demands=("policy/require.sign",)),
)


def explained(**changes: object) -> Answer:
    whole = {
        "headline": "Price driven most by zones.gate/detail (identify; recognise is 71.40 less)",
        "binding": BINDING,
        "headroom": HEADROOM,
        "why": WHY,
    }
    return handmade.answer(**{**whole, **changes})


def shown(answer: Answer, *, width: int = 80, full: bool = False, headline: bool = False) -> str:
    console = Console(file=io.StringIO(), width=width, highlight=False, markup=False, emoji=False)
    render_explanation(answer, handmade.BOOK.items, console, full=full, headline=headline)
    return written(console)


def written(console: Console) -> str:
    assert isinstance(console.file, io.StringIO)
    text = console.file.getvalue()
    assert not SOLVERS_WORDS.search(text.lower())
    return text


def plain(width: int = 80) -> Console:
    return Console(file=io.StringIO(), width=width, highlight=False, markup=False, emoji=False)


def test_the_compact_block() -> None:
    assert shown(explained()) == (
        "\n"
        "What drives the price  each by itself, solved anew; savings do not add up\n"
        " demand               asked     a step easier  saves  not asked\n"
        " zones.gate/detail    identify  recognise      71.40      71.40\n"
        " policy/require.sign  2         1               5.36      10.71\n"
        " no saving in recording/retention\n"
        "\n"
        "How far each demand goes at this price  and the next step\n"
        " recording/retention  31 days; up to 58 days costs the same; 59 days: +39.00,\n"
        "   drive-6tb in place of drive-4tb\n"
        " recording/drive_failures  0; 1: cannot be met (no array fits)\n"
        " spare/channels  0; up to 3 costs the same, perhaps further: time ran out\n"
        " spare/storage  0 %; up to 100 % costs the same, the strictest that can be\n"
        "   asked\n"
        "\n"
        "Why not a cheaper one  the nearest that a limit takes out; all: --full\n"
        " rec-8  not rec-3, 140.00: it has 3 channels for 4 cameras\n"
    )


def test_all_of_the_reasons() -> None:
    text = shown(explained(), full=True)
    assert text.endswith(
        "\n"
        "Why each line  what it serves, and what speaks against cheaper choices\n"
        " rec-8  holds 2,131 of 4,000 GB, 4 of 8 channels\n"
        "   for zones.till, recording (retention)\n"
        "   not rec-3, 140.00: it has 3 channels for 4 cameras\n"
        "   rec-plain would do by itself; no kit with it is cheaper\n"
        "   without it: +39.00\n"
        " sign  the site requires 2\n"
        "   for policy (require.sign)\n"
    )


def test_what_would_do_is_told_only_of_a_proven_kit() -> None:
    found = shown(explained(status="feasible", lower_bound="800.00"), full=True)
    assert "would do" not in found


def test_the_headline_stands_at_the_top_of_the_answer() -> None:
    console = plain()
    render(explained(), handmade.SITE, handmade.BOOK.items, console)
    lines = written(console).splitlines()
    place = next(i for i, line in enumerate(lines) if line.startswith("Price driven most by"))
    assert place <= 4
    assert shown(explained(), headline=True).startswith("\nPrice driven most by zones.gate/detail")
    assert "Price driven" not in shown(explained())


def test_a_long_list_is_cut_and_says_so() -> None:
    many = tuple(
        BINDING[0].model_copy(update={"requirement": f"zones.z{n}/detail"}) for n in range(8)
    )
    idle = tuple(BINDING[2].model_copy(update={"requirement": f"spare/q{n}"}) for n in range(7))
    reach = tuple(
        HEADROOM[0].model_copy(update={"requirement": f"zones.z{n}/run", "steps": 9 - n})
        for n in range(9)
    )
    answer = explained(binding=(*many, *idle), headroom=reach, why=())
    text = shown(answer)
    assert "zones.z4/detail" in text
    assert "zones.z5/detail" not in text
    assert "no saving in spare/q0, spare/q1 and 5 more; 3 more save: --full" in " ".join(
        text.split()
    )
    assert "; 5 more:" in text
    # The nearest next steps are told: the fewest steps away.
    assert [n for n in range(9) if f"zones.z{n}/run" in text] == [5, 6, 7, 8]
    everything = shown(answer, full=True)
    assert all(f"zones.z{n}/detail" in everything for n in range(8))
    assert all(f"zones.z{n}/run" in everything for n in range(9))


def test_what_binds_only_together() -> None:
    both = Step(
        changes=(change("spare/channels", "4", "3"), change("zones.a/width", "4 m", "3.5 m")),
        status="proven", before="829.58", after="810.00", difference="-19.58",
    )  # fmt: skip
    joint = JointlyBinding(requirements=("spare/channels", "zones.a/width"), how="eased", step=both)
    text = shown(explained(binding=BINDING[2:], joint=(joint,), next_saving=NextSaving(step=both)))
    flat = " ".join(text.split())
    assert "only together: spare/channels and zones.a/width, each one step easier, save" in flat
    assert (
        "the nearest saving: spare/channels from 4 to 3 and zones.a/width from 4 m to 3.5 m "
        "saves 19.58" in flat
    )


OPEN_STEP = Step(changes=(DETAIL,), status="between", before="829.58", low="800.00", high="829.58")
UNKNOWN = BINDING[0].model_copy(update={"binds": None, "eased": OPEN_STEP, "dropped": None})
UNSOUGHT = HEADROOM[2].model_copy(update={"reaches": "0", "steps": 0})


def test_time_that_ran_out_is_said() -> None:
    answer = explained(binding=(UNKNOWN,), left_open=("zones.gate/detail: what it costs",))
    text = shown(answer)
    # Where no cost is settled there is no table without rows.
    assert "What drives the price" not in text
    assert " left open, what it costs: zones.gate (detail)\n" in text
    assert "at most 29.58" in shown(answer, full=True)
    assert saving(OPEN_STEP) == "-29.58 to 0.00"
    assert saving(OPEN_STEP.model_copy(update={"low": None})) == "? to 0.00"


def test_a_saving_of_which_nothing_is_known_is_called_open() -> None:
    # Dropping it is proven to save; what one step saves is not known at all.
    unsettled = OPEN_STEP.model_copy(update={"low": None})
    partly = BINDING[0].model_copy(update={"binds": None, "eased": unsettled})
    [line] = [x for x in shown(explained(binding=(partly,))).splitlines() if "zones.gate" in x]
    assert line.split() == ["zones.gate/detail", "identify", "recognise", "open", "71.40"]


def test_what_nothing_is_known_of_is_told_once() -> None:
    nothing = OPEN_STEP.model_copy(update={"low": None})
    unknown = UNKNOWN.model_copy(update={"eased": nothing, "dropped": nothing})
    left = ("zones.gate/detail: what it costs",)
    lines = shown(explained(binding=(unknown,), left_open=left), full=True).splitlines()
    told = [line for line in lines if "gate" in line]
    assert told == [" left open, what it costs: zones.gate (detail)"]


def test_what_is_left_open_is_one_line() -> None:
    left = (
        "zones.gate/detail: what it costs",
        "spare/channels: how far it reaches",
        "zones.gate/night: how far it reaches",
        "sets of demands: not all were tried",
    )
    answer = explained(
        binding=(*BINDING, UNKNOWN), headroom=(*HEADROOM[:2], UNSOUGHT, UNSOUGHT), left_open=left
    )
    text = shown(answer)
    flat = " ".join(text.split())
    assert (
        "left open, as time ran out: what 1 demand costs, how far 2 demands go, 1 other question; "
        "--time SECONDS gives more, --full lists them" in flat
    )
    # A reach of which nothing is known is counted there and nowhere else, in full as well.
    assert "more: --full" not in text
    whole = shown(answer, full=True)
    assert "perhaps further" not in text + whole
    assert (
        " left open, what it costs: zones.gate (detail)\n"
        " left open, how far it reaches: spare (channels); zones.gate (night)\n"
        " left open: sets of demands: not all were tried\n" in whole
    )


def test_what_is_left_open_is_told_by_places() -> None:
    reach = tuple(
        UNSOUGHT.model_copy(update={"requirement": f"zones.z{n}/{what}"})
        for n in range(12)
        for what in ("detail", "width")
    )
    # All but z9; z0 and z10 lack their width.
    named = [f"zones.z{n}/detail" for n in range(12) if n != 9]
    named += [f"zones.z{n}/width" for n in (*range(1, 9), 11)]
    left = (
        *(f"{one}: how far it reaches" for one in named),
        "zones.z2: what leaving it out saves",
        "zones.z1: what leaving it out saves",
        "policy/require.sign: what leaving it out saves",
    )
    flat = " ".join(shown(explained(headroom=reach, left_open=left), full=True).split())
    assert (
        "left open, what leaving it out saves: zones.z1, z2; policy (require.sign) "
        "left open, how far it reaches: zones.z0, z10 (detail); "
        "zones.z1 to z8, z11 (detail, width)" in flat
    )


def test_no_demand_is_both_settled_and_open() -> None:
    gone = OPEN_STEP.model_copy(
        update={"changes": (change("zones.gate/width", "4 m", "not asked", None),)}
    )
    partly = BINDING[2].model_copy(update={"requirement": "zones.gate/width", "dropped": gone})
    # That leaving it out is not settled, yet surely no cheaper, saves nothing.
    idle = gone.model_copy(update={"low": "829.58", "high": None})
    dear = BINDING[2].model_copy(update={"requirement": "zones.gate/run", "dropped": idle})
    left = ("zones.gate/width: what leaving it out saves",)
    answer = explained(binding=(*BINDING, partly, dear), headroom=(), left_open=left)
    lines = shown(answer, full=True, width=120).splitlines()
    assert " no saving in recording (retention); zones.gate (run)" in lines
    assert " no saving by a step easier in zones.gate (width)" in lines
    assert " left open, what leaving it out saves: zones.gate (width)" in lines
    assert sum("width" in line for line in lines) == 2
    assert "; no saving by a step easier in zones.gate/width" in shown(answer, width=120)


def test_a_saving_between_two_figures_is_told_so() -> None:
    # 829.58 less 820.00 is saved at least, and 829.58 less 800.00 at most.
    sure = OPEN_STEP.model_copy(update={"high": "820.00"})
    one = BINDING[0].model_copy(update={"eased": sure})
    assert "9.58 to 29.58" in shown(explained(binding=(one,)))


def test_what_is_asked_as_strictly_as_can_be_is_not_said_to_reach_itself() -> None:
    top = HEADROOM[3].model_copy(
        update={"requirement": "keep_outs.flat/detail", "asked": "1 px/m", "reaches": "1 px/m",
                "steps": 0}
    )  # fmt: skip
    answer = explained(headroom=(*HEADROOM[:2], top))
    assert "keep_outs" not in shown(answer)
    assert "; 1 more: --full" in shown(answer)
    whole = shown(answer, full=True)
    assert " keep_outs.flat/detail  1 px/m, the strictest that can be asked\n" in whole
    # Less may be stricter.
    far = top.model_copy(update={"asked": "10 px/m", "steps": 10})
    flat = " ".join(shown(explained(headroom=(far,)), full=True).split())
    assert "10 px/m; down to 1 px/m costs the same, the strictest that can be asked" in flat


def test_the_range_of_a_next_step_is_told() -> None:
    following = Step(
        changes=(RETENTION,), status="between", before="829.58", low="829.58", high="840.07"
    )
    head = HEADROOM[0].model_copy(update={"proven": False, "next": following})
    flat = " ".join(shown(explained(headroom=(head,))).split())
    assert "31 days; up to 58 days costs the same; 59 days: 0.00 to +10.49, time ran out" in flat


def test_a_long_name_stays_on_one_line() -> None:
    long = "policy/forbid.br-steer-ceiling"
    one = BINDING[0].model_copy(update={"requirement": long})
    assert f" {long} " in shown(explained(binding=(one, *BINDING[1:])))


def test_a_long_exchange_of_items_is_cut() -> None:
    came = [ItemChange(item=f"cam-{n}", before=0, after=1) for n in range(4)]
    went = ItemChange(item="drive-4tb", before=1, after=0)
    one = HEADROOM[0].model_copy(update={"next": step(RETENTION, "39.00", *came, went)})
    short = " ".join(shown(explained(headroom=(one,))).split())
    assert "+39.00, cam-0, cam-1 and 2 more in place of drive-4tb" in short
    whole = " ".join(shown(explained(headroom=(one,)), full=True).split())
    assert "+39.00, cam-0, cam-1, cam-2 and 1 more in place of drive-4tb" in whole


def test_one_line_of_each_kind_comes_before_a_second_of_any() -> None:
    other = WHY[0].others
    items = ("cam-bullet", "cam-dome", "rec-8", "drive-4tb", "sd-4")
    lines = tuple(Why(item=item, because="", demands=(), others=other) for item in items)
    text = shown(explained(binding=(), headroom=(), why=lines))
    told = [line.split()[0] for line in text.splitlines()[2:]]
    assert told == ["cam-bullet", "rec-8", "drive-4tb"]
    lines = (lines[0], lines[1], lines[4])
    text = shown(explained(binding=(), headroom=(), why=lines))
    told = [line.split()[0] for line in text.splitlines()[2:]]
    assert told == ["cam-bullet", "cam-dome", "sd-4"]


def test_what_a_line_serves_is_told_place_by_place() -> None:
    asked = ("detail", "width", "frame_rate", "place", "ingress", "temperature", "night_colour")
    demands = tuple(f"zones.delivery-yard/{q}" for q in asked)
    others = (
        OtherItem(item="rec-3", price="9.00", place="gate/1", limit="9.9 V are left at gate/1"),
        OtherItem(item="rec-4", price="8.00", place="", limit="twist-on is excluded by policy"),
    )
    many = tuple(f"zones.z{n}" for n in range(10))
    lines = (
        Why(item="rec-8", because="", demands=demands, others=others),
        Why(item="sd-4", because="", demands=many),
    )
    flat = " ".join(shown(explained(binding=(), headroom=(), why=lines), full=True).split())
    assert f"for zones.delivery-yard ({', '.join(asked)}) not rec-3" in flat
    # The place stands once.
    assert "not rec-3, 9.00: 9.9 V are left at gate/1 not rec-4" in flat
    assert "twist-on is excluded by policy sd-4" in flat
    assert flat.endswith("zones.z6, zones.z7 and 2 more")


def test_words_for_what_changes() -> None:
    more = ItemChange(item="lead-25", before=1, after=3)
    less = ItemChange(item="sd-4", before=1, after=0)
    assert swapped((more,)) == "with 2 lead-25"
    assert swapped((less,)) == "without sd-4"
    assert swapped((more, less)) == "2 lead-25 in place of sd-4"
    assert swapped(()) == ""


def test_a_kit_that_is_not_proven_says_why_nothing_is_told() -> None:
    words = "the price itself is not proven to be the lowest"
    answer = explained(headline="", binding=(), headroom=(), why=(), left_open=(words,))
    assert shown(answer) == f"\n left open: {words}\n"


def test_nothing_is_shown_where_nothing_is_explained() -> None:
    assert shown(handmade.answer()) == ""


@pytest.mark.parametrize("width", [40, 60, 80, 140])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    text = shown(explained(), width=width, full=True, headline=True)
    assert max(len(line) for line in text.splitlines()) <= width


# What if

BILLS = BillDifference(
    lines=(
        LineChange(item="cam-dome", what="added", before=0, after=2, amount="90.00"),
        LineChange(item="cam-bullet", what="removed", before=1, after=0, amount="-60.00"),
        LineChange(item="sign", what="changed", before=2, after=1, amount="-4.50"),
    ),
    goods="25.50",
    reductions="10.00",
    labour="2.00",
    tax="3.33",
    total="20.83",
)


def what_if(**changes: object) -> str:
    whole: dict[str, object] = {
        "changes": (change("recording/retention", "31 days", "45 days", None),),
        "status": "proven",
        "before": "829.58",
        "after": "850.41",
        "difference": "20.83",
        "bills": BILLS,
    }
    console = plain()
    answer = handmade.answer(what_if=WhatIf.model_validate({**whole, **changes}))
    render_what_if(answer, handmade.BOOK.items, console)
    return written(console)


def test_two_bills_side_by_side() -> None:
    text = what_if()
    assert " recording/retention: 31 days -> 45 days\n" in text
    assert " 829.58 -> 850.41 EUR: +20.83, proven\n" in text
    rows = [line.split() for line in text.splitlines()[4:]]
    assert rows[0] == ["was", "is", "item", "change"]
    assert [row for row in rows if len(row) == 1] == [["added"], ["removed"]]
    for start, end in (
        (["0", "2", "cam-dome"], "+90.00"),
        (["1", "0", "cam-bullet"], "-60.00"),
        (["2", "1", "sign"], "-4.50"),
        (["offers"], "-10.00"),
        (["labour"], "+2.00"),
        (["tax"], "+3.33"),
        (["total"], "+20.83"),
    ):
        assert [r[-1] for r in rows if r[: len(start)] == start] == [end]


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"difference": "0.00", "after": "829.58"}, "829.58 -> 829.58 EUR: the same total"),
        # With a plan, no more is said to be proven than is.
        ({"over": OVER}, "829.58 -> 850.41 EUR: +20.83, proven over the aims looked at"),
        (
            {"difference": "0.00", "after": "829.58", "over": OVER},
            "829.58 -> 829.58 EUR: the same total over the aims looked at",
        ),
        ({"status": "unmeetable", "after": None, "bills": None}, "no kit does this, proven"),
        (
            {"status": "between", "difference": None, "low": "3.00", "high": "20.83"},
            "time ran out, the difference is +3.00 to +20.83",
        ),
        (
            {"status": "between", "difference": None, "beside": "after"},
            "850.41 EUR: this kit does for the site as it stands too; its aims were not looked at "
            "there, and the change itself saves nothing",
        ),
        (
            {"status": "between", "difference": None, "beside": "before", "after": "829.58"},
            "829.58 -> 829.58 EUR: the kit of the site as it stands does for this too; a cheaper "
            "one was not found",
        ),
        ({"before": None, "bills": None}, "850.41 EUR; without the change there is no kit"),
        (
            {"status": "between", "after": None, "difference": None, "bills": None},
            "no kit was found in the time given",
        ),
        ({"changes": ()}, "nothing is changed: the site asks for this already"),
    ],
)
def test_verdicts(fields: dict[str, object], words: str) -> None:
    assert words in " ".join(what_if(**fields).split())


def test_a_plain_answer_is_no_what_if() -> None:
    with pytest.raises(ValueError, match="as it stands"):
        render_what_if(handmade.answer(), handmade.BOOK.items, plain())


# Alternatives


def test_alternatives() -> None:
    kinds = Kinds(
        families=("hd_coax",), cameras=("cam-dome",), recorders=("rec-8",),
        cabling=("leads", "existing"),
    )  # fmt: skip
    found = Alternatives(
        ranked=(
            Variant(name="1", status="optimal", total="829.58", difference="0.00", kinds=kinds),
            Variant(
                name="2", status="feasible", total="1850.00", lower_bound="840.00",
                difference="1020.42", kinds=kinds,
            ),
        ),
        families=(Variant(name="network", status="unmeetable", because="no camera fits"),),
        cabling=(Variant(name="pairs", status="undecided"),),
        complete=False,
        note="time ran out",
    )  # fmt: skip
    console = plain()
    render_alternatives(found, "EUR", console)
    assert written(console) == (
        "\n"
        "Alternatives  cheapest first, totals in EUR; each checked anew\n"
        " 1.  829.58\n"
        "     cam-dome; rec-8; ready-made leads and existing cable\n"
        " 2.  1,850.00  +1,020.42  best found, not proven, at least 840.00\n"
        "     cam-dome; rec-8; ready-made leads and existing cable\n"
        "\n"
        "Cheapest in each signal family\n"
        " network  no kit does it: no camera fits\n"
        "\n"
        "Cheapest with one kind of cabling\n"
        " twisted pair with baluns  not known: time ran out\n"
        " time ran out\n"
    )


# Price curves


def test_on_a_plan_it_is_said_once_what_the_figures_are_proven_over() -> None:
    left = ("zones.gate/detail: what it costs", "spare/channels: how far it reaches")
    answer = explained(
        binding=(*BINDING, UNKNOWN),
        headroom=HEADROOM[:2],
        left_open=left,
        figures_over=OVER,
    )
    flat = " ".join(shown(answer).split())
    said = (
        "On a plan every price below is the least over the ways to aim cameras that were looked "
        "at, for the site as asked or as changed, and over the kits found for one that do for "
        "another; a way that was not looked at might change a figure."
    )
    assert flat.startswith(said)
    assert flat.count("looked at") == said.count("looked at")
    # More time need not help there: what is looked at has an end.
    assert "left open: what 1 demand costs, " in flat
    assert "--time SECONDS may give more, --full lists them" in flat
    assert "On a plan" not in shown(answer.model_copy(update={"figures_over": ""}))


def test_a_reach_that_the_listed_aims_leave_open_says_so() -> None:
    words = "no way to aim that was looked at surely does, yet some other might"
    beyond = Step(
        changes=(change("zones.hall/detail", "observe", "recognise"),),
        status="between",
        before="829.58",
        because=words,
    )
    head = Headroom(
        requirement="zones.hall/detail", line=None, text="hall: detail {}", asked="observe",
        reaches="observe", steps=0, proven=False, next=beyond,
    )  # fmt: skip
    flat = " ".join(shown(explained(headroom=(head,)), full=True).split())
    assert f"zones.hall/detail observe, perhaps further: {words}" in flat
    assert "time ran out" not in flat


def test_a_reach_that_surely_ends_is_not_told_to_go_perhaps_further() -> None:
    """850.00 is 20.42 more than 829.58, at least; how much more at most is not known."""
    beyond = Step(
        changes=(change("zones.hall/share", "90 %", "91 %"),),
        status="between",
        before="829.58",
        low="850.00",
    )
    head = Headroom(
        requirement="zones.hall/share", line=None, text="hall: share {}", asked="90 %",
        reaches="90 %", steps=0, proven=False, next=beyond,
    )  # fmt: skip
    flat = " ".join(shown(explained(headroom=(head,)), full=True).split())
    assert "zones.hall/share 90 %; 91 %: +20.42 to ?, time ran out" in flat
    assert "further" not in flat


def level(first: str, last: str, total: str | None, **more: object) -> PriceLevel:
    whole: dict[str, object] = {
        "first": f"{first} days", "last": f"{last} days", "first_number": first,
        "last_number": last, "unit": "days", "status": "proven", "total": total,
    }  # fmt: skip
    return PriceLevel.model_validate({**whole, **more})


CURVE = PriceCurve(
    requirement="recording/retention",
    text="pictures are kept for 31 days",
    asked="31 days",
    currency="EUR",
    levels=(
        level("7", "58", "829.58"),
        level("59", "80", "868.58", difference="39.00", items=DRIVE),
        level("81", "85", None, status="between", low="868.58", high="900.00"),
        level("86", "90", None, status="unmeetable", because="no drives hold it"),
    ),
    complete=False,
)


def test_steps_on_a_plan() -> None:
    console = plain()
    render_steps(CURVE.model_copy(update={"over": OVER}), console)
    flat = " ".join(written(console).split())
    assert flat.startswith("recording/retention partly open ─")
    assert "totals in EUR On a plan every price below is the least over the ways to aim" in flat


def test_steps() -> None:
    console = plain()
    render_steps(CURVE, console)
    head, rule, *rest = written(console).splitlines()
    assert head.split() == ["recording/retention", "partly", "open:", "time", "ran", "out"]
    assert set(rule) == {"─"}
    assert rest == [
        "asked: 31 days; totals in EUR",
        "from     to                  total    step  what changes",
        "7 days   58 days            829.58",
        "59 days  80 days            868.58  +39.00  drive-6tb in place of drive-4tb",
        "81 days  85 days  868.58 to 900.00",
        "86 days  90 days              none          no drives hold it",
    ]


def test_tax_is_named_where_it_is_stated() -> None:
    console = plain()
    render_steps(CURVE.model_copy(update={"tax": "19 %"}), console)
    assert "asked: 31 days; totals in EUR, with 19 % tax\n" in written(console)
    texts = (drawn(CURVE, ".svg"), drawn(CURVE.model_copy(update={"tax": "19 %"}), ".svg"))
    assert [b"with 19 % tax" in svg for svg in texts] == [False, True]


def test_drawings_are_made_of_proven_totals() -> None:
    svg = drawn(CURVE, ".svg")
    assert svg == drawn(CURVE, ".svg")
    assert b"<svg" in svg
    assert drawn(CURVE, ".PNG").startswith(b"\x89PNG\r\n")
    nothing = CURVE.model_copy(update={"levels": CURVE.levels[2:]})
    with pytest.raises(ValueError, match="no proven total"):
        drawn(nothing, ".svg")


def test_a_drawing_that_cannot_be_made_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    check_plot("steps.svg")
    check_plot("steps.PNG")
    with pytest.raises(InputError, match=r"\.svg or \.png"):
        check_plot("steps.pdf")
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    with pytest.raises(InputError, match=r"install -e '\.\[plot\]'"):
        check_plot("steps.svg")


def test_bounds_are_not_cut_off_beside_a_long_name() -> None:
    far = OPEN_STEP.model_copy(update={"before": "2488.40", "low": "1354.66", "high": "2488.40"})
    near = OPEN_STEP.model_copy(update={"before": "2488.40", "low": "1792.46", "high": "2488.40"})
    name = "zones.server-room-of-the-annex/frame_rate"
    one = UNKNOWN.model_copy(update={"requirement": name, "eased": near, "dropped": far})
    text = shown(explained(binding=(one,)), full=True)
    # 2488.40 - 1792.46 and 2488.40 - 1354.66.
    assert re.search(r"at most 695\.94 +at most 1,133\.74\n", text)
    assert max(len(line) for line in text.splitlines()) <= 80


def test_long_words_beside_long_bounds_push_nothing_off_the_page() -> None:
    # 18 letters are asked, a bound takes 15 and the other 13: names break where they may.
    wide = OPEN_STEP.model_copy(update={"before": "829.58", "low": "691.38", "high": "811.22"})
    asked = BINDING[0].model_copy(
        update={"requirement": "policy/families", "asked": "composite, hd_coax", "binds": None,
                "eased": None, "dropped": wide}
    )  # fmt: skip
    long = UNKNOWN.model_copy(update={"requirement": "zones.delivery-yard/most_cameras"})
    lines = shown(explained(binding=(asked, long), headroom=()), full=True).splitlines()
    assert max(map(len, lines)) <= 80
    # 829.58 - 811.22 and 829.58 - 691.38.
    [row] = [line for line in lines if line.startswith(" policy/families")]
    assert row.endswith("18.36 to 138.20")
    name = lines.index(next(line for line in lines if line.startswith(" zones.delivery-yard/")))
    assert lines[name].split()[0] == "zones.delivery-yard/"
    assert lines[name + 1].split()[0] == "most_cameras"
