"""A browser becomes a screen: the code for people's eyes, the secret for the browser, the token once."""

from datetime import UTC, date, datetime, timedelta

import pytest

from plots.models import Site
from schedules.models import Screen, ScreenPairing
from schedules.pairing_codes import ALPHABET, as_kept, is_code, new_code
from schedules.pairing_services import (
    CODE_LIVES,
    FETCH_LIVES,
    CodeNotFound,
    PairingOver,
    TooManyPairings,
    pairing_agree,
    pairing_ask,
    pairing_fetch,
    pairing_of_secret,
    pairing_take_offer,
    screen_pair_for_demo,
)
from schedules.screens import screen_of_token, screen_revoke
from society.models import JournalEntry
from tests.factories import Cast, make_cast

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
SECOND = timedelta(seconds=1)


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast(since=date(2020, 1, 1), normals=False)


def agree(cast: Cast, code: str, *, now: datetime = NOW) -> Screen:
    return pairing_agree(code=code, site=cast.site, name="gate", now=now, account=cast.dee_account)


def fetch(secret: str, *, now: datetime = NOW) -> str | None:
    pairing = pairing_of_secret(secret)
    assert pairing is not None
    return pairing_fetch(pairing=pairing, now=now)


def test_no_two_letters_of_a_code_look_alike() -> None:
    assert not set(ALPHABET) & set("O0I1L2Z5S8BUAE")
    assert len(set(ALPHABET)) == len(ALPHABET) == 22


@pytest.mark.parametrize("typed", ["kx7 4qm", " KX7-4QM ", "kX7\u00a04qm", "ＫＸ７４ＱＭ"])
def test_a_code_is_understood_as_people_type_it(typed: str) -> None:
    assert as_kept(typed) == "KX74QM"


@pytest.mark.parametrize("kept", ["", "KX74Q", "KX74QMM", "KX74QO", "ÄX74QM"])
def test_what_no_screen_shows_is_no_code(kept: str) -> None:
    assert not is_code(kept)
    assert is_code(new_code())


def test_the_token_comes_once_the_code_is_typed(cast: Cast) -> None:
    asked = pairing_ask(now=NOW)
    assert fetch(asked.secret) is None

    screen = agree(cast, asked.pairing.code)
    token = fetch(asked.secret)

    assert token
    assert screen_of_token(token, now=NOW) == screen


def test_the_token_comes_exactly_once(cast: Cast) -> None:
    asked = pairing_ask(now=NOW)
    agree(cast, asked.pairing.code)
    read_twice = [pairing_of_secret(asked.secret) for _ in range(2)]  # as two questions at one moment do

    pairing_fetch(pairing=read_twice[0], now=NOW)  # type: ignore[arg-type]

    with pytest.raises(PairingOver):
        pairing_fetch(pairing=read_twice[1], now=NOW)  # type: ignore[arg-type]


def test_a_code_is_agreed_to_once(cast: Cast) -> None:
    asked = pairing_ask(now=NOW)
    agree(cast, asked.pairing.code)

    with pytest.raises(CodeNotFound):
        agree(cast, asked.pairing.code)

    assert Screen.objects.count() == 1


def test_a_code_lives_ten_minutes(cast: Cast) -> None:
    asked = pairing_ask(now=NOW)

    with pytest.raises(CodeNotFound):
        agree(cast, asked.pairing.code, now=NOW + CODE_LIVES)

    assert agree(cast, asked.pairing.code, now=NOW + CODE_LIVES - SECOND)


def test_what_was_agreed_in_the_last_second_can_still_be_fetched(cast: Cast) -> None:
    asked = pairing_ask(now=NOW)
    agree(cast, asked.pairing.code, now=NOW + CODE_LIVES - SECOND)

    assert fetch(asked.secret, now=NOW + CODE_LIVES + SECOND)


def test_what_is_agreed_is_not_kept_ready_for_ever(cast: Cast) -> None:
    asked = pairing_ask(now=NOW)
    agree(cast, asked.pairing.code)

    with pytest.raises(PairingOver):
        fetch(asked.secret, now=NOW + FETCH_LIVES)


def test_a_screen_turned_off_before_it_fetched_gets_no_token(cast: Cast) -> None:
    asked = pairing_ask(now=NOW)
    screen_revoke(screen=agree(cast, asked.pairing.code), now=NOW)

    with pytest.raises(PairingOver):
        fetch(asked.secret)


def test_neither_code_nor_wrong_secret_finds_a_pairing(cast: Cast) -> None:
    asked = pairing_ask(now=NOW)

    assert pairing_of_secret(asked.pairing.code) is None
    assert pairing_of_secret(asked.secret[:-1]) is None


def test_no_secret_and_no_token_is_stored(cast: Cast) -> None:
    asked = pairing_ask(now=NOW)
    agree(cast, asked.pairing.code)
    token = fetch(asked.secret)

    kept = str([*ScreenPairing.objects.values(), *Screen.objects.values(), *JournalEntry.objects.values()])

    assert asked.secret not in kept
    assert str(token) not in kept


def test_who_paired_stands_in_the_journal_without_a_name(cast: Cast) -> None:
    asked = pairing_ask(now=NOW)
    screen = agree(cast, asked.pairing.code)

    entry = JournalEntry.objects.get(action="screen.pair")

    assert (entry.subject_id, entry.account_id_then) == (str(screen.pk), cast.dee_account.pk)
    assert entry.values == {"pairing": asked.pairing.pk, "site": cast.site.pk}


def test_old_pairings_are_cleared_away_and_their_screens_stay(cast: Cast) -> None:
    asked = pairing_ask(now=NOW)
    screen = agree(cast, asked.pairing.code)

    pairing_ask(now=NOW + FETCH_LIVES)

    assert not ScreenPairing.objects.filter(pk=asked.pairing.pk).exists()
    assert Screen.objects.filter(pk=screen.pk).exists()


def test_pairings_cannot_be_asked_for_without_end(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("schedules.pairing_services.MOST_LIVE", 2)
    pairing_ask(now=NOW)
    pairing_ask(now=NOW)

    with pytest.raises(TooManyPairings):
        pairing_ask(now=NOW)


@pytest.fixture
def invented(cast: Cast) -> Site:
    cast.society.is_invented = True
    cast.society.save()
    cast.site.refresh_from_db()
    return cast.site


def test_the_demos_first_browser_gets_the_agreed_screen_and_the_second_does_not(invented: Site) -> None:
    screen = screen_pair_for_demo(site=invented, name="gate", now=NOW)

    first, second = pairing_take_offer(now=NOW), pairing_take_offer(now=NOW)

    assert first is not None
    assert second is None
    assert screen_of_token(str(fetch(first.secret)), now=NOW) == screen


def test_the_demos_screen_waits_as_long_as_it_takes(invented: Site) -> None:
    screen_pair_for_demo(site=invented, name="gate", now=NOW)
    much_later = NOW + timedelta(days=300)
    pairing_ask(now=much_later)

    taken = pairing_take_offer(now=much_later)

    assert taken is not None
    assert fetch(taken.secret, now=much_later)


def test_a_real_society_agrees_to_nothing_beforehand(cast: Cast) -> None:
    with pytest.raises(ValueError, match="invented"):
        screen_pair_for_demo(site=cast.site, name="gate", now=NOW)


def test_an_offer_is_void_once_the_society_is_real(invented: Site) -> None:
    screen_pair_for_demo(site=invented, name="gate", now=NOW)
    invented.society.is_invented = False
    invented.society.save()

    assert pairing_take_offer(now=NOW) is None
