"""What is filmed: camera runs, preview inserts, and the order that moves the camera least."""

from __future__ import annotations

from itertools import pairwise

from overlay.paper.shots import Shot, equipment_of, filming_order, setups_in_playing_order, shots_of
from overlay.plan.paper import PaperSettings
from overlay.plan.read import parse_plan
from overlay.plan.session import Session
from overlay.timeline.layout import lay_out
from overlay.timeline.model import SegmentKind, Timeline

NO_INSERTS = "paper: {insert: 0s}\n"
PLAN = """\
overlay: 1
title: A
timing: {work: 30s, rest: 10s, preview: 10s, between_blocks: 20s}
tones: {leader: true}
opening: {length: 10s}
blocks:
  - id: one
    rounds: 2
    intervals:
      - {name: Squat, position: Standing, camera: Front}
      - {name: March, position: standing, camera: front, equipment: [cone, cone]}
      - {name: Plank, position: floor, camera: Low}
  - id: two
    intervals: [{name: Squat, position: Standing, camera: Front}]
closing: {length: 10s}
"""


def shots(text: str = PLAN) -> tuple[Timeline, tuple[Shot, ...]]:
    session = parse_plan(text.encode("utf-8"), "a.yaml")
    timeline = lay_out(session).timeline
    return timeline, shots_of(timeline, session.paper)


def test_every_segment_is_in_one_shot(hour: Session) -> None:
    """The shots of the class tile it in playing order, a leader aside; each lasts as long as its parts."""
    for timeline, made in (shots(), (lay_out(hour).timeline, shots_of(lay_out(hour).timeline, hour.paper))):
        of_class = [shot for shot in made if shot.insert is None]
        filmed = [segment for shot in of_class for segment in shot.segments]
        assert filmed == [segment for segment in timeline.segments if segment.kind is not SegmentKind.LEADER]
        assert sum(shot.length for shot in of_class) == timeline.duration - timeline.class_start
        assert [shot.number for shot in made] == list(range(1, len(made) + 1))


def test_a_shot_lasts_as_long_as_the_camera_stays() -> None:
    """Squat and march are one run, whatever their capitals; the plank is another; a new block begins anew."""
    _, made = shots(PLAN + NO_INSERTS)
    kinds = [" ".join(segment.kind.value for segment in shot.segments) for shot in made]
    assert kinds == [
        "opening",
        "preview work rest work rest",
        "work rest",
        "work rest work rest",
        "work rest",
        "preview work",
        "closing",
    ]
    assert [shot.setup.camera for shot in made] == ["Front", "Front", "Low", "Front", "Low", "Front", "Front"]


def test_inserts_are_filmed_once_for_every_preview_that_shows_them() -> None:
    """The squat serves both previews; each has its own set-up, and none where the plan wants none."""
    _, made = shots()
    inserts = [shot for shot in made if shot.insert]
    assert [(shot.insert.name, [s.block for s in shot.segments]) for shot in inserts if shot.insert] == [
        ("Squat", ["one", "two"]),
        ("March", ["one"]),
        ("Plank", ["one"]),
    ]
    assert {shot.length for shot in inserts} == {4}
    assert inserts[2].setup.camera == "Low"
    assert not [shot for shot in shots(PLAN + NO_INSERTS)[1] if shot.insert]


def test_two_sides_want_two_inserts(hour: Session) -> None:
    """The same exercise on the other side is another picture."""
    inserts = [shot for shot in shots_of(lay_out(hour).timeline, PaperSettings()) if shot.insert]
    assert len({(shot.insert, shot.side) for shot in inserts}) == len(inserts) == 8


def test_the_filming_order_moves_the_camera_least(hour: Session) -> None:
    """Every shot once; each set-up once, counted by hand; one camera's set-ups beside each other."""
    _, made = shots()
    groups = filming_order(made)
    assert sorted(shot.number for _, group in groups for shot in group) == [shot.number for shot in made]
    assert [setup.key for setup, _ in groups] == [("front", "standing"), ("low", "floor")]
    assert setups_in_playing_order(made) == 5
    of_hour = filming_order(shots_of(lay_out(hour).timeline, hour.paper))
    cameras = [setup.key[0] for setup, _ in of_hour]
    assert sum(one != other for one, other in pairwise(cameras)) == len(set(cameras)) - 1
    for _, group in of_hour:
        are_inserts = [shot.insert is not None for shot in group]
        assert are_inserts == sorted(are_inserts)


def test_equipment_counts_what_is_needed_at_once() -> None:
    """Two cones in one exercise are two; the same thing in two exercises is one."""
    _, made = shots()
    assert dict(equipment_of([move for shot in made for move in shot.moves])) == {"cone": 2}
