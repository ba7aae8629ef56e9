"""A session without a server: undo without end, the journal's words, problems and paths."""

from __future__ import annotations

from pathlib import Path

import pytest

import glint
from glint.errors import GlintError, Problem, SceneError, UsageError
from glint.live.folder import Folder
from glint.live.session.figures import Looker, Turning, of_the_body
from glint.live.session.journal import Journal, Silent
from glint.live.session.problems import path_of, problem_facts, written
from glint.live.session.session import Session
from tests.live.test_packets import PLAIN, STRUNG


def session(**more: object) -> Session:
    """One that writes nothing down."""
    return Session(glint.Scene(**{**PLAIN, **more}), Silent(), True)


def edit(number: float, group: str = "") -> dict[str, object]:
    """A change of the first ball's height."""
    return {"type": "edit", "changes": {"ball[0].hang.height_m": number}, "group": group}


def test_undo_has_no_end_and_a_new_edit_ends_redo() -> None:
    one = session()
    for step in range(30):
        one.do(edit(1.5 + 0.01 * step))
    for _ in range(30):
        assert one.do({"type": "undo"})
    assert not one.do({"type": "undo"}) and not one.unsaved
    assert one.scene.balls[0].centre[2] == 1.8
    one.do({"type": "redo"})
    one.do(edit(2.0))
    assert not one.do({"type": "redo"}) and one.scene.balls[0].centre[2] == 2.0


def test_what_fails_changes_nothing() -> None:
    one = session()
    before = one.history.now
    with pytest.raises(SceneError):
        one.do(edit(9.0))
    assert one.history.now is before and one.revision == 1 and not one.history.can_undo


def test_names_and_places_stay_when_rows_go() -> None:
    one = session()
    one.do({"type": "add", "what": "lamp"})
    places = [lamp.position.tolist() for lamp in one.scene.lamps]
    one.do({"type": "remove", "what": "lamp", "number": 1})
    assert [lamp.name for lamp in one.scene.lamps] == ["lamp 1", "lamp 3"]
    assert [lamp.position.tolist() for lamp in one.scene.lamps] == [places[0], places[2]]
    one.do({"type": "remove", "what": "lamp", "number": 0})
    with pytest.raises(GlintError, match="last light"):
        one.do({"type": "remove", "what": "lamp", "number": 0})


def test_a_string_goes_with_its_ball_and_another_finds_room() -> None:
    one = Session(glint.Scene(**STRUNG), Silent(), True)
    one.do({"type": "add", "what": "ball"})
    one.do({"type": "add", "what": "lamp"})
    assert len(one.scene.balls) == 2
    one.do({"type": "remove", "what": "ball", "number": 0})
    assert not one.scene.strings and len(one.scene.lamps) == 1


def test_at_most_eight_candidates_are_kept() -> None:
    one = session()
    for _ in range(8):
        one.do({"type": "keep"})
    with pytest.raises(GlintError, match="8 candidates"):
        one.do({"type": "keep"})
    one.do({"type": "drop", "number": 3})
    one.do({"type": "keep", "name": "last"})
    assert [candidate.number for candidate in one.candidates] == [1, 2, 4, 5, 6, 7, 8, 9]


def test_a_journal_holds_all_and_others_are_left_alone(tmp_path: Path) -> None:
    scene = glint.Scene(**PLAIN, folder=tmp_path)
    place = scene.source.path
    first = Session(scene, Journal(place, tmp_path / "state"), False)
    first.do(edit(2.0))
    first.do({"type": "keep", "name": "high"})
    first.do(edit(1.9, "drag"))
    first.do(edit(1.7, "drag"))
    second = Journal(place, tmp_path / "state")
    assert second.left() is None  # the first one is still at work
    assert first.journal._stream is not None
    first.journal._stream.close()
    left = second.left()
    assert left is not None and left.unsaved == 4
    again = Session(scene, second, False)
    again.take_back(left)
    assert again.scene.balls[0].centre[2] == 1.7 and again.unsaved
    assert [candidate.name for candidate in again.candidates] == ["high"]
    again.do({"type": "undo"})
    assert again.scene.balls[0].centre[2] == 2.0  # the drag was one step
    assert Journal(tmp_path / "other.toml", tmp_path / "state").left() is None


def test_a_journal_that_cannot_be_written_says_so(tmp_path: Path) -> None:
    (tmp_path / "state").write_text("a file")
    one = Session(glint.Scene(**PLAIN), Journal(Path("a.toml"), tmp_path / "state"), False)
    one.do(edit(2.0))
    assert "not written down" in one.journal.trouble and one.journal.left() is None


@pytest.mark.parametrize(
    ("where", "path"),
    [("[[ball]] 2 hang.by", "ball[1].hang.by"), ("[room] radius_m", "room.radius_m"),
     ("[[ball]] 1 shape.steps 2 sides", "ball[0].shape.steps[1].sides"), ("title", "title"),
     ("[[lamp]] 3", "lamp[2]"), ("line 7", ""), ("", "")],
)  # fmt: skip
def test_places_in_messages_become_paths(where: str, path: str) -> None:
    assert written(path_of(where)) == path


def test_remedies_are_the_nearest_spelling_or_the_end_of_the_range() -> None:
    def remedy(*problem: str) -> object:
        found = problem_facts(Problem(*problem)).get("remedy")
        return found and next(iter(found["changes"].values()))

    assert remedy("[[ball]] 1 hang.by", '"vertx"', "...", "vertex") == "vertex"
    assert remedy("[[ball]] 1 motion.rpm", "-500", "a number") == -120.0
    assert remedy("[room] radius_m", "1e9", "a number") == 100.0
    assert remedy("[room] radius_m", '"wide"', "a number") is None
    assert remedy("[[ball]] 1 motion.swing_deg", "0", "above 0") is None


def test_a_folder_lets_nothing_out(tmp_path: Path) -> None:
    folder = Folder(tmp_path)
    (tmp_path / "inner").mkdir()
    assert folder.inside("inner/a.toml", (".toml",)) == tmp_path.resolve() / "inner" / "a.toml"
    (tmp_path / "loop").symlink_to(tmp_path / "inner")
    for name in (
        "..",
        "inner/../..",
        "/a",
        "loop/a.toml",
        "a//b",
        "~/../x",
        "a\0b",
        7,
        None,
        "x" * 999,
    ):
        with pytest.raises(UsageError):
            folder.inside(name)


def test_figures_of_a_turn_agree_with_the_measures() -> None:
    scene = glint.Scene(**PLAIN)
    measured = glint.measure(scene)
    looker = Looker(scene, glint.light(scene.at(seconds=0.0), 256)["dome"].ambient)
    turning = Turning(looker)
    while turning.step():
        pass
    means = turning.means()
    for key, name in (("spots", "spots"), ("gap_deg", "gap_deg"), ("cover_share", "cover_share")):
        assert means[key] is not None
        assert means[key][0] == pytest.approx(measured.figures[name].mean, rel=0.08)
    assert of_the_body(scene)["grams"] == pytest.approx(measured.grams)
