"""Outputs appear whole or not at all, and never over what the user made."""

import hashlib
import os
import subprocess
from pathlib import Path

import pytest

from pacewright.files import whole
from pacewright.files.whole import LIST, NotOursError, write_whole, write_whole_file

OLD = {"report.html": b"old", "tables/a.csv": b"1"}
NEW = {"report.html": b"new", "tables/b.csv": b"2"}


def content(folder: Path) -> dict[str, bytes]:
    """Every file of a folder but the list."""
    every = (path for path in folder.rglob("*") if path.is_file() and path.name != LIST)
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in every}


def only_the_target(target: Path) -> bool:
    """True when nothing is left beside the folder."""
    return [one.name for one in target.parent.iterdir()] == [target.name]


def test_a_new_folder_is_written_with_all_above_it(tmp_path: Path) -> None:
    """Folders above are made, folders inside too, and the list says what was written."""
    target = tmp_path / "deep" / "out"
    write_whole(target, OLD)
    assert content(target) == OLD
    listed = (target / LIST).read_text()
    assert listed == "".join(
        f"{hashlib.sha256(OLD[name]).hexdigest()}  {name}\n" for name in sorted(OLD)
    )
    assert only_the_target(target)


def test_the_list_is_what_sha256sum_checks(tmp_path: Path) -> None:
    """The general tool sha256sum accepts the list."""
    write_whole(tmp_path / "out", OLD)
    done = subprocess.run(
        ["sha256sum", "--check", "--strict", LIST],
        cwd=tmp_path / "out",
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0


def test_an_older_output_is_replaced_whole(tmp_path: Path) -> None:
    """Files of the older output that the newer lacks are gone."""
    target = tmp_path / "out"
    write_whole(target, OLD)
    write_whole(target, NEW)
    assert content(target) == NEW
    assert only_the_target(target)


def test_an_empty_folder_is_filled(tmp_path: Path) -> None:
    """A folder that stands ready and empty is used."""
    (tmp_path / "out").mkdir()
    write_whole(tmp_path / "out", NEW)
    assert content(tmp_path / "out") == NEW


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda t: (t / "notes.txt").write_text("mine"), "notes.txt was not written by this tool"),
        (lambda t: (t / "report.html").write_text("mine"), "report.html was changed after"),
        (lambda t: (t / LIST).unlink(), "holds files this tool did not write"),
        (lambda t: (t / LIST).write_bytes(b"\xff"), "holds files this tool did not write"),
    ],
    ids=["file added", "file changed", "list gone", "list spoilt"],
)
def test_what_the_user_made_is_not_replaced(tmp_path: Path, spoil: object, words: str) -> None:
    """A file added or changed by hand stops the writing, and everything stays."""
    target = tmp_path / "out"
    write_whole(target, OLD)
    spoil(target)  # type: ignore[operator]
    before = content(target)
    with pytest.raises(NotOursError, match=words) as caught:
        write_whole(target, NEW)
    assert "Choose another place" in str(caught.value)
    assert content(target) == before
    assert only_the_target(target)


def test_a_file_in_the_place_is_not_replaced(tmp_path: Path) -> None:
    """A file where the folder should go stops the writing and stays."""
    (tmp_path / "out").write_text("mine")
    with pytest.raises(NotOursError, match="is a file"):
        write_whole(tmp_path / "out", NEW)
    assert (tmp_path / "out").read_text() == "mine"


def test_the_folder_stood_in_is_not_replaced(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Replacing the current folder would leave the user's shell in a folder that is gone."""
    (tmp_path / "out" / "in").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "out" / "in")
    for place in (".", "..", tmp_path / "out"):
        with pytest.raises(NotOursError, match="you stand inside"):
            write_whole(Path(place), NEW)


@pytest.mark.parametrize("name", ["../x", "/x", "a/../b", "a//b", "./a", LIST])
def test_names_stay_inside_the_folder(tmp_path: Path, name: str) -> None:
    """A name that would lead out of the folder, or over its list, is refused."""
    with pytest.raises(ValueError, match="no name inside a folder"):
        write_whole(tmp_path / "out", {name: b""})
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), KeyboardInterrupt()])
@pytest.mark.parametrize("call", range(1, 5))
def test_a_full_disk_or_an_interrupt_leaves_the_old(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: BaseException, call: int
) -> None:
    """Whichever file fails to be written, or the swap itself, the old output still stands."""
    target = tmp_path / "out"
    write_whole(target, OLD)
    calls = 0
    real_sync, real_rename = os.fsync, Path.rename

    def sync(number: int) -> None:
        nonlocal calls
        calls += 1
        if calls == call:
            raise error
        real_sync(number)

    def rename(self: Path, where: Path) -> Path:
        # Fourth: all files were written, and putting the new folder in its place fails.
        if call == 4 and ".new-" in self.name:
            raise error
        return real_rename(self, where)

    monkeypatch.setattr(whole.os, "fsync", sync)
    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(type(error)):
        write_whole(target, NEW)
    assert content(target) == OLD
    assert only_the_target(target)


def test_a_swap_cut_short_is_put_back(tmp_path: Path) -> None:
    """After a power cut between two renamings the next run finds the old output again."""
    target = tmp_path / "out"
    write_whole(target, OLD)
    (target / "report.html").write_text("changed by hand")
    target.rename(tmp_path / ".out.old-1234abcd")
    with pytest.raises(NotOursError, match="was changed after"):
        write_whole(target, NEW)
    assert (target / "report.html").read_text() == "changed by hand"


def test_a_link_is_followed(tmp_path: Path) -> None:
    """Writing through a link replaces the folder behind it and keeps the link."""
    write_whole(tmp_path / "real", OLD)
    (tmp_path / "link").symlink_to("real")
    write_whole(tmp_path / "link", NEW)
    assert (tmp_path / "link").is_symlink()
    assert content(tmp_path / "real") == NEW


def test_a_file_is_written_once(tmp_path: Path) -> None:
    """A file that exists is not written over."""
    path = tmp_path / "new" / "w.xlsx"
    write_whole_file(path, b"1")
    with pytest.raises(NotOursError, match="exists already"):
        write_whole_file(path, b"2")
    assert path.read_bytes() == b"1"
    assert only_the_target(path)


def test_a_file_that_fails_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk leaves neither the file nor what was begun of it."""

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(whole.os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_whole_file(tmp_path / "w.xlsx", b"1")
    assert list(tmp_path.iterdir()) == []
