"""Every requirement of a site: id, value, words, line in the file, and its natural steps.

Facts (distances, routes, cable that is there, prices of labour) are not requirements: nobody can
waive them. The length of a run is a fact too; :func:`reaches` lists runs, because a planner wants
to know how much longer they could get at the same price.

Natural steps, common practice, no source, except where a standard is named:

==========================  =====================================================================
retention                   1 day
detail                      levels of the site's edition; a plain figure: preferred numbers R10 of
                            ISO 3
share of a plan zone        5 %
cameras on each spot        1
directions apart, down-tilt 10 deg, 5 deg
detail of a keep-out area   as for detail; less is harder
width                       0.5 m, or 2 ft where the file counts in feet; up to 500 m
frame rate                  1 fps
recorded                    1 hour a day, or 5 % where it is stated as a share
night                       lit, 10, 1, 0.1, 0.01, 0.001 lx, dark
ingress                     IP20, IP44, IP54, IP65, IP66, as far as one covers the other (IEC 60529)
impact                      one code of IEC 62262
temperature                 5 C at each end
most cameras, joints        1
drive failures, channels    1
displays, required items    1
storage and supply to spare 5 %
camera models               1
budget                      1.00; see :mod:`optimizer.explaining`: only a limit, never a price
run                         1 m, or 3 ft, up to 2 km
everything else             asked or not asked
==========================  =====================================================================
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from optimizer.reading.source import FieldPath
from optimizer.site import ladders
from optimizer.site.listing import Reader, Requirement
from optimizer.site.listing_plan import of_area, of_keep_out, of_mount
from optimizer.site.listing_zones import of_zone
from optimizer.site.loading import LoadedSite
from optimizer.site.schema import PlanZone, Site

NOT_ASKED = "not asked"
"""How a dropped requirement's value is written in findings."""

ALL_FAMILIES = ("composite", "hd_coax", "network")


def requirements(site: Site | LoadedSite) -> tuple[Requirement, ...]:
    """Every requirement of a site, in the order of the site file's schema.

    A requirement that asks for nothing (no spare channel, place indoors, no required item) is not
    listed.

    Parameters
    ----------
    site : Site or LoadedSite
        With a loaded site, values are in the file's own words and lines are known.
    """
    return tuple(r for r in _Lister(site).all() if r.asked and not r.fact)


def reaches(site: Site | LoadedSite) -> tuple[Requirement, ...]:
    """What has a headroom: the counted requirements, and facts such as the length of a run."""
    return tuple(r for r in _Lister(site).all() if r.counted)


def _taxed(site: Site) -> str:
    if site.money.stated_tax is None:
        return ""
    return " with tax" if site.money.budget_includes_tax else " without tax"


class _Lister(Reader):
    """Everything that a site asks, in the order of its schema."""

    def all(self) -> Iterator[Requirement]:
        site = self.site
        if site.money.budget is not None:
            yield self.one(
                "budget",
                ("money", "budget"),
                ladders.Fixed(),
                "the kit costs at most {}" + _taxed(site),
                dropping="no limit to the price",
                counted=True,
            )
        for index, zone in enumerate(site.zones):
            if isinstance(zone, PlanZone):
                yield from of_area(self, index, zone)
            else:
                yield from of_zone(self, index, zone)
        for index, mount in enumerate(site.mounts):
            yield from of_mount(self, index, mount)
        for index, area in enumerate(site.plan.keep_outs if site.plan else ()):
            yield from of_keep_out(self, index, area)
        yield from self._recording()
        yield from self._audio()
        yield from self._spare()
        for index, owned in enumerate(site.owned):
            if owned.pinned:
                yield self.yes(
                    f"owned.{owned.item}/pinned",
                    ("owned", index, "pinned"),
                    f"{owned.quantity} {owned.item} that is there must be used",
                    "it may be used or left",
                )
        yield from self._policy()

    def _recording(self) -> Iterator[Requirement]:
        recording = self.site.recording
        at: FieldPath = ("recording",)
        yield self.retention("recording/retention", (*at, "retention"), "pictures")
        yield self.one(
            "recording/drive_failures",
            (*at, "drive_failures"),
            ladders.Whole(0, 2),
            "drives that may fail without loss: {}",
            loosest="0",
            dropping="a drive that fails takes its pictures with it",
            counted=True,
            asked=recording.drive_failures > 0,
        )
        for index, way in enumerate(recording.export):
            yield self.yes(
                f"recording/export.{way}",
                (*at, "export", index),
                f"pictures can be handed out by {way}",
                f"not by {way}",
            )
        for kind, count in recording.displays.model_dump().items():
            if count:
                yield self.one(
                    f"recording/displays.{kind}",
                    (*at, "displays", kind),
                    ladders.Whole(0, 8),
                    f"each recorder has {{}} {kind} outputs",
                    loosest="0",
                    dropping=f"no {kind} output",
                )

    def _audio(self) -> Iterator[Requirement]:
        points = self.site.audio.points
        if len(points) > 1:
            yield self.one(
                "audio/points",
                ("audio", "points"),
                ladders.Longer(self._unheard),
                "sound is recorded at {}",
                value=", ".join(p.id for p in points),
                loosest="",
                dropping="no sound at all",
                counted=True,
            )
        for index, point in enumerate(points):
            at: FieldPath = ("audio", "points", index)
            yield self.one(
                f"audio.{point.id}",
                at,
                ladders.Longer(self._unheard) if len(points) == 1 else ladders.Fixed(),
                f"sound is recorded at {point.id}",
                value=point.id,
                dropping=f"no sound at {point.id}",
                counted=len(points) == 1,
            )
            if point.place == "outdoors":
                yield self.one(
                    f"audio.{point.id}/place",
                    (*at, "place"),
                    ladders.Fixed(),
                    f"{point.id}: the microphone is made for outdoors",
                    loosest="indoors",
                    dropping="any microphone will do, as far as its zone allows",
                )
            if point.power != "any":
                yield self.one(
                    f"audio.{point.id}/power",
                    (*at, "power"),
                    ladders.Fixed(),
                    f"{point.id}: the microphone is fed from {{}}",
                    loosest="any",
                    dropping="fed from anywhere",
                )
            yield self.run(f"audio.{point.id}/run", (*at, "run"), point.id)

    def _unheard(self, entries: Sequence[str]) -> str | None:
        """The first zone without an audio point; it gets one on the run of its camera."""
        heard = {p.zone for p in self.site.audio.points} | set(entries)
        heard |= {p.id for p in self.site.audio.points}
        return next((z.id for z in self.site.views if z.id not in heard), None)

    def _spare(self) -> Iterator[Requirement]:
        spare = self.site.spare
        yield self.one(
            "spare/channels",
            ("spare", "channels"),
            ladders.Whole(0, 1024),
            "{} recorder channels stay free",
            loosest="0",
            dropping="no channel need stay free",
            counted=True,
            asked=spare.channels > 0,
        )
        for field, most, text, gone in (
            ("storage", "100 %", "{} more storage than the cameras need", "no storage in hand"),
            (
                "supply",
                "90 %",
                "{} of the rating of each supply and of each of its outputs stay in hand",
                "supplies may be loaded up to their rating",
            ),
        ):
            asked = bool(getattr(spare, field))
            yield self.one(
                f"spare/{field}",
                ("spare", field),
                ladders.Amount("share", {"%": "5"}, "0 %", most),
                text,
                unit="%",
                loosest="0 %",
                dropping=gone,
                counted=asked,
                asked=asked,
            )

    def _policy(self) -> Iterator[Requirement]:
        policy = self.site.policy
        missing = [f for f in ALL_FAMILIES if f not in policy.families]
        if missing:
            yield self.one(
                "policy/families",
                ("policy", "families"),
                ladders.Fixed(),
                "only {} signals",
                value=", ".join(policy.families),
                loosest=", ".join(ALL_FAMILIES),
                dropping="any signal family",
            )
        for index, needed in enumerate(policy.require):
            yield self.one(
                f"policy/require.{needed.item}",
                ("policy", "require", index),
                ladders.Whole(1, 10000),
                f"{needed.quantity} {needed.item} in the kit",
                value=str(needed.quantity),
                dropping="the kit need not hold it",
            )
        for index, item in enumerate(policy.forbid):
            yield self.yes(
                f"policy/forbid.{item}",
                ("policy", "forbid", index),
                f"{item} is not used",
                "it may be used",
            )
        if policy.most_camera_models is not None:
            yield self.one(
                "policy/most_camera_models",
                ("policy", "most_camera_models"),
                ladders.Whole(1, 10000, more_is_easier=True),
                "at most {} different camera items",
                dropping="any number of different cameras",
            )
        for kind, methods in policy.connectors.items():
            yield self.one(
                f"policy/connectors.{kind}",
                ("policy", "connectors", kind),
                ladders.Fixed(),
                f"{kind} connectors are fitted by {{}} only",
                value=", ".join(methods) or "nothing",
                dropping="fitted in any way",
            )
        if policy.most_joints < 3:
            yield self.one(
                "policy/most_joints",
                ("policy", "most_joints"),
                ladders.Whole(0, 3, more_is_easier=True),
                "at most {} joints in a run of leads",
                loosest="3",
                dropping="up to 3 joints",
            )


__all__ = ["ALL_FAMILIES", "NOT_ASKED", "Requirement", "reaches", "requirements"]
