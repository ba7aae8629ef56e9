"""The journal after a kill, saved files, and exports: whole, inside the folder, or not at all."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest

import glint
from tests.live.client import Page, Server, serving
from tests.live.conftest import SCENE


def edited_and_killed(folder: Path, state: Path) -> None:
    """A server that is killed after three edits and an undo."""
    with serving(str(folder / "evening.toml"), cwd=folder, state=state) as server:
        page = Page.welcome(server)
        for changes in ({"ball[0].hang.height_m": 2.0}, {"title": "Plum"}, {"title": "Sloe"}):
            page.send("edit", changes=changes)
            page.wait("scene")
        page.send("undo")
        page.wait("scene")
        server.stop(signal.SIGKILL)


def test_edits_are_offered_back_after_a_kill(folder: Path, tmp_path: Path) -> None:
    state = tmp_path / "state"
    edited_and_killed(folder, state)
    journals = list((state / "glint" / "live").iterdir())
    assert len(journals) == 1
    # The machine may have stopped in the middle of a line.
    with journals[0].open("ab") as stream:
        stream.write(b'{"do": "edit", "chan')
    with serving(str(folder / "evening.toml"), cwd=folder, state=state) as server:
        page = Page.welcome(server)
        assert page.wait("recovered")["edits"] == 4
        page.send("recover", take=True)
        scene = page.wait("scene")
        assert scene.facts["title"] == "Plum" and scene.facts["can_redo"]
        assert scene.facts["balls"][0]["centre"][2] == 2.0
        page.send("undo")
        page.wait("scene")
        page.send("undo")
        scene = page.wait("scene")
        assert scene.facts["balls"][0]["centre"][2] == 1.8 and not scene.facts["can_undo"]
        assert not journals[0].exists()
        server.stop(signal.SIGKILL)
    with serving(str(folder / "evening.toml"), cwd=folder, state=state) as server:
        page = Page.welcome(server)
        assert page.wait("recovered")["edits"] == 6
        page.send("recover", take=False)
        page.send("shapes")
        page.wait("shapes")
        server.stop()
    with serving(str(folder / "evening.toml"), cwd=folder, state=state) as server:
        page = Page.welcome(server)
        page.send("shapes")
        page.wait("shapes")
        kinds = [one["type"] for one in page.heard if isinstance(one, dict)]
        assert "recovered" not in kinds


def test_what_was_saved_is_not_offered(folder: Path, tmp_path: Path) -> None:
    state = tmp_path / "state"
    with serving(str(folder / "evening.toml"), cwd=folder, state=state) as server:
        page = Page.welcome(server)
        page.send("edit", changes={"ball[0].hang.height_m": 2.0})
        page.wait("scene")
        page.send("save")
        page.wait("saved")
        assert not page.wait("scene").facts["unsaved"]
        server.stop(signal.SIGKILL)
    # All is as it was written, but for the number.
    assert (folder / "evening.toml").read_text() == SCENE.replace("1.8", "2.0")
    with serving(str(folder / "evening.toml"), cwd=folder, state=state) as server:
        page = Page.welcome(server)
        page.send("shapes")
        page.wait("shapes")
        assert not [one for one in page.heard if "recovered" in str(one)[:30]]


def test_a_file_that_another_program_changed_is_not_written_over(
    folder: Path, tmp_path: Path
) -> None:
    with serving(str(folder / "evening.toml"), cwd=folder, state=tmp_path) as server:
        page = Page.welcome(server)
        (folder / "evening.toml").write_text(SCENE + "# mine\n")
        page.send("edit", changes={"title": "Plum"})
        page.wait("scene")
        page.send("save")
        assert "another program" in page.wait("problem")["problems"][0]["text"]
        page.send("save", path="evening.toml", force=True)
        page.wait("saved")
    assert 'title = "Plum"' in (folder / "evening.toml").read_text()


@pytest.mark.parametrize(
    "path", ["../out.toml", "/tmp/out.toml", "a/../../out.toml", "out/new.toml", "link.toml",
             ".evening.toml", "new.txt", "", "con\n.toml", "c:\\out.toml"]
)  # fmt: skip
def test_nothing_is_written_outside_the_folder(
    folder: Path, tmp_path: Path, shared: Server, path: str
) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "theirs.toml").write_text("theirs")
    home = shared.scene.parent
    theirs = tmp_path / "elsewhere" / "theirs.toml"
    for name, target in (("out", theirs.parent), ("link.toml", theirs)):
        (home / name).unlink(missing_ok=True)
        (home / name).symlink_to(target)
    page = Page.welcome(shared)
    for kind, more in (("save", {}), ("export", {"id": "x", "kind": "glb"}), ("open", {})):
        page.send(kind, path=path, force=True, **more)
        assert page.wait("problem")["doing"] == kind
    page.socket.close()
    assert [file.name for file in (tmp_path / "elsewhere").iterdir()] == ["theirs.toml"]
    assert (tmp_path / "elsewhere" / "theirs.toml").read_text() == "theirs"


def test_exports_are_written_one_after_the_other_and_cancelled(
    folder: Path, tmp_path: Path
) -> None:
    with serving(str(folder / "evening.toml"), cwd=folder, state=tmp_path) as server:
        page = Page.welcome(server)
        page.send("export", id="a", kind="glb", path="a.glb")
        page.send("export", id="b", kind="still", path="b.png", size=64)
        page.send("export", id="c", kind="loop", path="c.gif", size=512)
        ended = {}
        while len(ended) < 3:
            job = page.wait("job")
            if job["id"] == "c" and job["state"] in ("running", "waiting") and "b" in ended:
                page.send("cancel", id="c")
            if job["state"] in ("done", "failed", "cancelled"):
                ended[job["id"]] = (job["state"], job["written"])
        assert ended == {
            "a": ("done", ["a.glb"]),
            "b": ("done", ["b.png"]),
            "c": ("cancelled", []),
        }
        page.send("export", id="d", kind="glb", path="a.glb")
        assert "exists" in page.wait("problem")["problems"][0]["text"]
        page.send("export", id="d", kind="still", path="evening.toml", force=True)
        page.wait("problem")
        server.stop()
    assert sorted(file.name for file in folder.iterdir()) == ["a.glb", "b.png", "evening.toml"]
    assert glint.load(folder / "evening.toml").balls[0].name == "quince"


def test_another_scene_of_the_folder_is_opened(folder: Path, tmp_path: Path) -> None:
    (folder / "second.toml").write_text(SCENE.replace("quince", "medlar"))
    with serving(str(folder / "evening.toml"), cwd=folder, state=tmp_path) as server:
        page = Page.welcome(server)
        page.send("edit", changes={"title": "Plum"})
        page.wait("scene")
        page.send("open", path="second.toml")
        scene = page.wait("scene")
        assert scene.facts["balls"][0]["name"] == "medlar" and not scene.facts["can_undo"]
        # What was not saved is offered when the first one is opened again.
        page.send("open", path="evening.toml")
        assert page.wait("recovered")["edits"] == 1
