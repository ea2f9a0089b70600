"""Looking for garbage is put off for a piece of work, and taken up again whatever became of the work."""

import gc
import weakref

import pytest

from society.garbage import garbage_kept


class Ring:
    """An object that only the search for garbage can free."""

    def __init__(self) -> None:
        self.own = self


def test_garbage_stays_until_the_work_ends_and_is_cleared_away_then() -> None:
    with garbage_kept():
        ring = weakref.ref(Ring())
        assert not gc.isenabled()
        assert ring() is not None

    assert gc.isenabled()
    assert ring() is None


def test_the_search_goes_on_after_work_that_failed() -> None:
    with pytest.raises(ValueError, match="spade"), garbage_kept():
        raise ValueError("spade")

    assert gc.isenabled()


def test_work_within_work_leaves_it_to_the_outer_one() -> None:
    with garbage_kept():
        with garbage_kept():
            pass
        assert not gc.isenabled()
