"""A file is saved whole or not at all, and nothing is written over unasked."""

import errno
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from barmath import saving
from barmath.refusal import BendError
from barmath.saving import LONGEST_NAME, PART, STALE_SECONDS, alone, file_name, save_bytes

OLD, NEW = b"as it was", b"as it is to be"


def names_in(folder):
    return sorted(path.name for path in folder.iterdir())


def refuse(path, **options):
    with pytest.raises(BendError) as refusal:
        save_bytes(path, NEW, **options)
    return str(refusal.value)


def test_the_bytes_arrive_and_nothing_else_does(tmp_path):
    assert save_bytes(tmp_path / "sheet.pdf", NEW) == tmp_path / "sheet.pdf"
    assert (tmp_path / "sheet.pdf").read_bytes() == NEW
    assert names_in(tmp_path) == ["sheet.pdf"]


def test_an_existing_file_is_refused_and_left_as_it_was(tmp_path):
    path = tmp_path / "sheet.pdf"
    path.write_bytes(OLD)
    assert refuse(path) == "Choose another name, or say that it is to be overwritten: sheet.pdf exists already"
    assert path.read_bytes() == OLD
    assert names_in(tmp_path) == ["sheet.pdf"]


def test_an_existing_file_is_replaced_when_asked_and_keeps_its_permissions(tmp_path):
    path = tmp_path / "sheet.pdf"
    path.write_bytes(OLD)
    path.chmod(0o640)
    save_bytes(path, NEW, overwrite=True)
    assert path.read_bytes() == NEW
    assert path.stat().st_mode & 0o777 == 0o640
    assert names_in(tmp_path) == ["sheet.pdf"]


def test_overwriting_what_is_not_there_just_saves(tmp_path):
    save_bytes(tmp_path / "sheet.pdf", NEW, overwrite=True)
    assert (tmp_path / "sheet.pdf").read_bytes() == NEW


def test_a_file_that_appears_while_writing_is_not_written_over(tmp_path, monkeypatch):
    path, fsync = tmp_path / "sheet.pdf", os.fsync

    def somebody_else_saves(handle):
        if not path.exists():
            path.write_bytes(OLD)
        fsync(handle)

    monkeypatch.setattr(os, "fsync", somebody_else_saves)
    assert "exists already" in refuse(path)
    assert path.read_bytes() == OLD
    assert names_in(tmp_path) == ["sheet.pdf"]


@pytest.mark.parametrize("second_names", [True, False], ids=["linking", "claiming"])
def test_of_many_savers_at_once_one_wins_with_all_its_bytes(tmp_path, monkeypatch, second_names):
    if not second_names:
        monkeypatch.setattr(os, "link", no_second_names)
    path, won, gate = tmp_path / "sheet.pdf", [], threading.Barrier(8)

    def save(number):
        gate.wait()
        try:
            save_bytes(path, bytes([number]) * 10_000)
            won.append(number)
        except BendError:
            pass

    threads = [threading.Thread(target=save, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(won) == 1
    assert path.read_bytes() == bytes(won) * 10_000
    assert names_in(tmp_path) == ["sheet.pdf"]


def no_second_names(*_):
    raise OSError(errno.EPERM, os.strerror(errno.EPERM))


def test_a_disk_without_second_names_is_saved_to_as_well(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "link", no_second_names)
    save_bytes(tmp_path / "sheet.pdf", NEW)
    assert (tmp_path / "sheet.pdf").read_bytes() == NEW
    assert "exists already" in refuse(tmp_path / "sheet.pdf")
    assert names_in(tmp_path) == ["sheet.pdf"]


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EACCES, "may not be written to"),
        (errno.EROFS, "may not be written to"),
        (errno.EIO, os.strerror(errno.EIO).lower()),
    ],
)
def test_a_fault_of_the_disk_is_said_in_a_sentence_and_nothing_is_lost(tmp_path, monkeypatch, number, words):
    path = tmp_path / "sheet.pdf"
    path.write_bytes(OLD)

    def fault(_):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", fault)
    sentence = refuse(path, overwrite=True)
    assert ": sheet.pdf was not saved, because " in sentence
    assert sentence.endswith(words)
    assert path.read_bytes() == OLD
    assert names_in(tmp_path) == ["sheet.pdf"]


@pytest.mark.parametrize(
    ("number", "there", "held"), [(32, True, True), (33, True, True), (5, True, True), (5, False, False)]
)
def test_a_file_that_a_viewer_holds_open_is_said_to_be_open(tmp_path, monkeypatch, number, there, held):
    # as Windows refuses it; the numbers are those of its header winerror.h, from memory
    path = tmp_path / "sheet.pdf"
    if there:
        path.write_bytes(OLD)

    def replace(*_):
        fault = PermissionError(errno.EACCES, "in use")
        fault.winerror = number
        raise fault

    monkeypatch.setattr(os, "replace", replace)
    sentence = refuse(path, overwrite=True)
    assert ("Close it there, then write it again" in sentence) == held
    assert names_in(tmp_path) == (["sheet.pdf"] if there else [])
    assert not there or path.read_bytes() == OLD


def test_who_asks_for_a_file_alone_waits_for_the_other_and_a_killed_one_gives_it_back(tmp_path, monkeypatch):
    path = tmp_path / "progress.json"
    with writer(HOLD, path) as holder:
        assert holder.stdout.readline() == "held\n"
        monkeypatch.setattr(saving, "WAIT_SECONDS", 0.1)
        with (
            pytest.raises(BendError, match=r"Try again: .* in use by somebody else"),
            alone(path),
        ):
            pass
        holder.kill()
    with alone(path):
        save_bytes(path, NEW)
    with pytest.raises(ZeroDivisionError), alone(path):
        raise ZeroDivisionError
    with alone(path):
        pass
    with pytest.raises(BendError, match="was not saved"), alone(tmp_path / "no folder" / "progress.json"):
        pass


@pytest.mark.skipif(sys.platform == "win32", reason="links need a privilege there")
def test_a_link_that_leads_back_to_itself_is_refused_in_words(tmp_path):
    (tmp_path / "a.pdf").symlink_to(tmp_path / "b.pdf")
    (tmp_path / "b.pdf").symlink_to(tmp_path / "a.pdf")
    for path in (tmp_path / "a.pdf", tmp_path / "a.pdf" / "sheet.pdf"):
        for overwrite in (False, True):
            assert "must lead to a file or a folder, got a link that leads back to itself" in refuse(
                path, overwrite=overwrite
            )
    assert (tmp_path / "a.pdf").is_symlink()


HOLD = """
import sys, time
from barmath.saving import alone
with alone(sys.argv[1]):
    print("held", flush=True)
    time.sleep(60)
"""

SAVE_TOO_MUCH = """
import resource, sys
from barmath.saving import save_bytes
resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))
save_bytes(sys.argv[1], b"x" * 100_000, overwrite=True)
"""

SAVE_SLOWLY = """
import os, sys, time
from barmath import saving
write = os.fsync
def slowly(handle):
    print("writing", flush=True)
    time.sleep(60)
os.fsync = slowly
saving.save_bytes(sys.argv[1], b"x" * 100_000, overwrite=True)
"""


def writer(script, path):
    return subprocess.Popen(
        [sys.executable, "-c", script, str(path)],
        cwd=Path(__file__).resolve().parents[1],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


@pytest.mark.skipif(sys.platform == "win32", reason="no limit on the size of files there")
def test_a_write_cut_short_by_the_system_leaves_the_old_file_whole(tmp_path):
    path = tmp_path / "sheet.pdf"
    path.write_bytes(OLD)
    _, told = writer(SAVE_TOO_MUCH, path).communicate(timeout=60)
    assert "the file is larger than the disk takes" in told
    assert path.read_bytes() == OLD
    assert names_in(tmp_path) == ["sheet.pdf"]


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal there")
def test_a_writer_killed_while_writing_leaves_the_old_file_whole_and_is_swept_up_after(tmp_path):
    path = tmp_path / "sheet.pdf"
    path.write_bytes(OLD)
    with writer(SAVE_SLOWLY, path) as killed:
        assert killed.stdout.readline() == "writing\n"
        killed.send_signal(signal.SIGKILL)
    assert path.read_bytes() == OLD
    (left,) = [name for name in names_in(tmp_path) if name != "sheet.pdf"]
    assert left.startswith(".sheet.pdf.")
    assert left.endswith(PART)

    save_bytes(path, NEW, overwrite=True)
    assert left in names_in(tmp_path)  # too young: it could be a slow writer at work
    old = time.time() - STALE_SECONDS - 1.0
    os.utime(tmp_path / left, (old, old))
    save_bytes(path, NEW, overwrite=True)
    assert names_in(tmp_path) == ["sheet.pdf"]


def test_a_saver_stopped_by_the_keyboard_leaves_nothing_behind(tmp_path, monkeypatch):
    def stopped(_):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", stopped)
    with pytest.raises(KeyboardInterrupt):
        save_bytes(tmp_path / "sheet.pdf", NEW)
    assert names_in(tmp_path) == []


def test_a_missing_folder_is_named(tmp_path):
    assert refuse(tmp_path / "sheets" / "sheet.pdf") == (
        f"Make the folder first: sheet.pdf was not saved, because there is no folder {tmp_path / 'sheets'}"
    )


def test_a_file_in_place_of_the_folder_is_named(tmp_path):
    (tmp_path / "sheets").write_bytes(OLD)
    assert f"{tmp_path / 'sheets'} is not a folder" in refuse(tmp_path / "sheets" / "sheet.pdf")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="nothing is read-only to the superuser")
def test_a_read_only_folder_and_a_read_only_file_are_refused(tmp_path):
    path = tmp_path / "sheet.pdf"
    path.write_bytes(OLD)
    path.chmod(0o444)
    assert "write-protected" in refuse(path, overwrite=True)
    tmp_path.chmod(0o555)
    assert "may not be written to" in refuse(tmp_path / "other.pdf")
    tmp_path.chmod(0o755)
    assert path.read_bytes() == OLD


def test_a_folder_of_that_name_is_not_written_over(tmp_path):
    (tmp_path / "sheet.pdf").mkdir()
    assert "there is a folder of that name" in refuse(tmp_path / "sheet.pdf", overwrite=True)


@pytest.mark.parametrize(("name", "words"), [("a\0b", "without null bytes"), ("x" * 300, "the name is too long")])
def test_an_impossible_name_is_refused_in_a_sentence(tmp_path, name, words):
    assert words in refuse(tmp_path / name)
    assert names_in(tmp_path) == []


@pytest.mark.skipif(sys.platform == "win32", reason="links need a privilege there")
def test_a_link_is_followed_and_remains_a_link(tmp_path):
    (tmp_path / "real.pdf").write_bytes(OLD)
    (tmp_path / "link.pdf").symlink_to(tmp_path / "real.pdf")
    assert "real.pdf exists already" in refuse(tmp_path / "link.pdf")
    save_bytes(tmp_path / "link.pdf", NEW, overwrite=True)
    assert (tmp_path / "link.pdf").is_symlink()
    assert (tmp_path / "real.pdf").read_bytes() == NEW


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("order 7", "order 7.pdf"),
        ("Größe 22,2 (blue)", "Größe 22,2 (blue).pdf"),
        ("../../etc/passwd", "etc-passwd.pdf"),
        ("a/b\\c:d*e?f", "a-b-c-d-e-f.pdf"),
        ("line\nbreak\0", "line break.pdf"),
        ("", "sheet.pdf"),
        (" ... ", "sheet.pdf"),
        ("CON", "sheet CON.pdf"),
        ("x" * 500, "x" * LONGEST_NAME + ".pdf"),
        ("ø" * 500, "ø" * (LONGEST_NAME // 2) + ".pdf"),
    ],
)
def test_what_a_user_typed_becomes_a_harmless_file_name(tmp_path, words, name):
    assert file_name(words, ".pdf") == name
    assert save_bytes(tmp_path / name, NEW).parent == tmp_path
