"""Pairing a browser with the society, so that it becomes a screen.

1. The browser asks (`pairing_ask`) and gets a short code to show and a long secret to keep.
2. A committee member types the code (`pairing_agree`): the screen exists from then on.
3. The browser asks with its secret (`pairing_fetch`) and gets its token, once.

No token exists before the third step, and nowhere but in that one answer; what is kept are hashes.
"""

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction

from plots.models import Site
from schedules.models import Screen, ScreenPairing
from schedules.pairing_codes import as_kept, new_code
from schedules.screens import PREFIX_SHOWN, new_token, screen_make, token_hash
from society.journal import journal_write
from society.models import Account

SECRET_PREFIX = "crp_"  # noqa: S105 - lets a leaked secret be recognised for what it is
CODE_LIVES = timedelta(minutes=10)
FETCH_LIVES = timedelta(minutes=20)
"""How long after the question the token may be fetched: also when the code was typed in the last second."""
MOST_LIVE = 500
CODE_TRIES = 5


class TooManyPairings(Exception):
    """So many browsers wait for a code to be typed that no more are let in for now."""


class CodeNotFound(Exception):
    """No browser waits with this code: mistyped, run out, or used."""


class PairingOver(Exception):
    """The secret fetches nothing: its time ran out, its token was fetched, or nobody asked with it."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What a browser gets to know of its pairing; the secret is told here once."""

    pairing: ScreenPairing
    secret: str


def pairing_ask(*, now: datetime) -> Asked:
    """A new pairing. Those that ran out are cleared away first, so that they cannot pile up."""
    _clear_away(now)
    if ScreenPairing.objects.filter(screen__isnull=True).count() >= MOST_LIVE:
        raise TooManyPairings
    secret = SECRET_PREFIX + secrets.token_urlsafe(32)
    pairing = _with_new_code(secret_hash=token_hash(secret), made_at=now, expires_at=now + CODE_LIVES)
    return Asked(pairing, secret)


@transaction.atomic
def pairing_agree(*, code: str, site: Site, name: str, now: datetime, account: Account | None) -> Screen:
    """Make the browser that shows this code a screen of the site; it fetches its token itself.

    The token that comes with a new screen is thrown away here: the browser's own replaces it.
    """
    waiting = ScreenPairing.objects.filter(
        code=as_kept(code), screen__isnull=True, secret_hash__isnull=False, expires_at__gt=now
    )
    pairing = waiting.first()
    if pairing is None:
        raise CodeNotFound
    screen, _ = screen_make(site=site, name=name, now=now, account=account)
    if not waiting.filter(pk=pairing.pk).update(screen=screen):
        raise CodeNotFound  # somebody else typed it at the same moment; the screen made here goes with it
    journal_write(
        action="screen.pair",
        subject="schedules.screen",
        subject_id=str(screen.pk),
        at=now,
        account=account,
        values={"pairing": pairing.pk, "site": site.pk},
    )
    return screen


@transaction.atomic
def pairing_fetch(*, pairing: ScreenPairing, now: datetime) -> str | None:
    """The screen's token, told here once; None while nobody has typed the code yet."""
    if pairing.fetched_at is not None or now >= pairing.made_at + FETCH_LIVES:
        raise PairingOver
    if pairing.screen is None:
        if pairing.is_over(now):
            raise PairingOver
        return None
    if pairing.screen.revoked_at is not None:
        raise PairingOver
    if not ScreenPairing.objects.filter(pk=pairing.pk, fetched_at__isnull=True).update(fetched_at=now):
        raise PairingOver
    token = new_token()
    Screen.objects.filter(pk=pairing.screen.pk).update(
        token_hash=token_hash(token), token_prefix=token[:PREFIX_SHOWN]
    )
    journal_write(
        action="screen.fetch_token",
        subject="schedules.screen",
        subject_id=str(pairing.screen.pk),
        at=now,
        account=None,
        values={"pairing": pairing.pk},
    )
    return token


def pairing_of_secret(secret: str) -> ScreenPairing | None:
    return ScreenPairing.objects.select_related("screen__site").filter(secret_hash=token_hash(secret)).first()


@transaction.atomic
def screen_pair_for_demo(*, site: Site, name: str, now: datetime) -> Screen:
    """Agree beforehand to the first browser of this machine that opens /screen/.

    For the invented society only: `pairing_take_offer` gives the agreed pairing to the first browser
    that asks from this machine. Its token is made when it fetches it, as for every screen, so there
    is nothing to print and nothing to pass on. The second browser has to show a code.
    """
    if not site.society.is_invented:
        raise ValueError(f"{site}: only the invented society's screen is agreed to beforehand")
    screen, _ = screen_make(site=site, name=name, now=now)
    pairing = _with_new_code(secret_hash=None, made_at=now, expires_at=None, screen=screen)
    journal_write(
        action="screen.pair",
        subject="schedules.screen",
        subject_id=str(screen.pk),
        at=now,
        account=None,
        values={"pairing": pairing.pk, "site": site.pk, "demo": True},
    )
    return screen


def pairing_take_offer(*, now: datetime) -> Asked | None:
    """The demo's agreed pairing, for the first browser that asks; the door sees to it that it is local."""
    offers = ScreenPairing.objects.filter(
        secret_hash__isnull=True, screen__revoked_at__isnull=True, screen__site__society__is_invented=True
    )
    offer = offers.first()
    if offer is None:
        return None
    secret = SECRET_PREFIX + secrets.token_urlsafe(32)
    untaken = ScreenPairing.objects.filter(pk=offer.pk, secret_hash__isnull=True)
    if not untaken.update(secret_hash=token_hash(secret), made_at=now, expires_at=now + CODE_LIVES):
        return None
    offer.refresh_from_db()
    return Asked(offer, secret)


def _clear_away(now: datetime) -> None:
    """Pairings whose time to fetch is over; what they came to stands in the journal."""
    ScreenPairing.objects.filter(secret_hash__isnull=False, made_at__lte=now - FETCH_LIVES).delete()


def _with_new_code(
    *, secret_hash: str | None, made_at: datetime, expires_at: datetime | None, screen: Screen | None = None
) -> ScreenPairing:
    for _ in range(CODE_TRIES):
        try:
            with transaction.atomic():
                return ScreenPairing.objects.create(
                    code=new_code(),
                    secret_hash=secret_hash,
                    made_at=made_at,
                    expires_at=expires_at,
                    screen=screen,
                )
        except IntegrityError:  # the code is in use, once in a hundred million
            continue
    raise TooManyPairings
