"""One beat, and nobody exchanges a database that another process serves."""

from pathlib import Path

from schedules.folder_locks import beat_lock, in_use_lock


def test_only_one_process_gets_the_beat(tmp_path: Path) -> None:
    first, second = beat_lock(tmp_path), beat_lock(tmp_path)
    assert first.take(alone=True)
    assert not second.take(alone=True)
    first.release()
    assert second.take(alone=True)
    second.release()


def test_many_may_serve_a_folder_that_nobody_exchanges(tmp_path: Path) -> None:
    first, second, third = (in_use_lock(tmp_path) for _ in range(3))
    assert first.take(alone=False)
    assert second.take(alone=False)
    assert not third.take(alone=True)
    for lock in (first, second):
        lock.release()
