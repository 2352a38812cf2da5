"""A file is written whole or not at all."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest

from feasibility.write_file import FileNotWritten, write_atomically


def names_in(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir())


def test_a_new_file_is_written_and_nothing_else_is_left(tmp_path: Path) -> None:
    path = tmp_path / "report.pdf"
    write_atomically(path, b"new")
    assert path.read_bytes() == b"new"
    assert names_in(tmp_path) == ["report.pdf"]


@pytest.mark.parametrize("umask", [0o022, 0o077, 0o002])
def test_a_new_file_gets_the_permissions_of_the_umask(tmp_path: Path, umask: int) -> None:
    before = os.umask(umask)
    try:
        write_atomically(tmp_path / "report.pdf", b"new")
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "report.pdf").stat().st_mode) == 0o666 & ~umask


def test_an_existing_file_keeps_its_permissions(tmp_path: Path) -> None:
    path = tmp_path / "report.pdf"
    path.write_bytes(b"old")
    path.chmod(0o640)
    write_atomically(path, b"new")
    assert path.read_bytes() == b"new"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_symbolic_link_stays_and_its_target_is_written(tmp_path: Path) -> None:
    target = tmp_path / "kept" / "report.pdf"
    target.parent.mkdir()
    link = tmp_path / "latest.pdf"
    link.symlink_to(target)
    write_atomically(link, b"new")
    assert link.is_symlink()
    assert target.read_bytes() == b"new"


def test_the_longest_possible_name_is_written(tmp_path: Path) -> None:
    path = tmp_path / ("x" * os.pathconf(tmp_path, "PC_NAME_MAX"))
    write_atomically(path, b"new")
    assert path.read_bytes() == b"new"


def fail_with(number: int) -> OSError:
    return OSError(number, os.strerror(number))


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "report.pdf"
    path.write_bytes(b"old")

    def full(_descriptor: int) -> None:
        raise fail_with(errno.ENOSPC)

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FileNotWritten) as caught:
        write_atomically(path, b"new")
    assert caught.value.path == path
    assert caught.value.reason == os.strerror(errno.ENOSPC)
    assert str(caught.value) == f"{path} was not written: {os.strerror(errno.ENOSPC)}"
    assert path.read_bytes() == b"old"
    assert names_in(tmp_path) == ["report.pdf"]


def test_a_failed_replacement_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "report.pdf"
    path.write_bytes(b"old")

    def refused(_self: Path, _target: Path) -> None:
        raise fail_with(errno.EACCES)

    monkeypatch.setattr(Path, "replace", refused)
    with pytest.raises(FileNotWritten, match=os.strerror(errno.EACCES)):
        write_atomically(path, b"new")
    assert path.read_bytes() == b"old"
    assert names_in(tmp_path) == ["report.pdf"]


def test_an_interruption_leaves_no_temporary_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(_descriptor: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_atomically(tmp_path / "report.pdf", b"new")
    assert names_in(tmp_path) == []


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    path = tmp_path / "nowhere" / "report.pdf"
    with pytest.raises(FileNotWritten, match=os.strerror(errno.ENOENT)):
        write_atomically(path, b"new")


def test_a_file_in_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"old")
    with pytest.raises(FileNotWritten, match=os.strerror(errno.ENOTDIR)):
        write_atomically(tmp_path / "file" / "report.pdf", b"new")
    assert (tmp_path / "file").read_bytes() == b"old"


def test_a_folder_is_not_replaced(tmp_path: Path) -> None:
    with pytest.raises(FileNotWritten, match="it is a folder"):
        write_atomically(tmp_path, b"new")


def test_what_is_not_an_ordinary_file_is_not_replaced(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(FileNotWritten, match="not an ordinary file"):
        write_atomically(pipe, b"new")
    assert stat.S_ISFIFO(pipe.stat().st_mode)


def test_a_loop_of_links_is_refused(tmp_path: Path) -> None:
    link = tmp_path / "loop"
    link.symlink_to(link)
    with pytest.raises(FileNotWritten, match=r"loop was not written: .+"):
        write_atomically(link, b"new")


@pytest.mark.skipif(os.geteuid() == 0, reason="permissions do not bind the superuser")
def test_a_read_only_folder_is_refused(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(FileNotWritten, match=os.strerror(errno.EACCES)):
        write_atomically(tmp_path / "report.pdf", b"new")
    assert names_in(tmp_path) == []


@pytest.mark.skipif(os.geteuid() == 0, reason="permissions do not bind the superuser")
def test_a_write_protected_file_is_not_replaced(tmp_path: Path) -> None:
    path = tmp_path / "report.pdf"
    path.write_bytes(b"old")
    path.chmod(0o400)
    with pytest.raises(FileNotWritten, match="write-protected"):
        write_atomically(path, b"new")
    assert path.read_bytes() == b"old"
