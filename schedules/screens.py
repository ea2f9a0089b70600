"""Noticeboard screens: making one, turning one off, and noting that it was seen."""

import hashlib
import secrets
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Q, QuerySet

from plots.models import Site
from schedules.models import Screen
from society.journal import journal_write
from society.models import Account

TOKEN_BYTES = 32
PREFIX = "crs_"  # lets a leaked token be recognised for what it is
PREFIX_SHOWN = 12
SEEN_EVERY = timedelta(minutes=1)


def token_hash(token: str) -> str:
    """What is kept of a token. It is long and random, so a plain hash is enough."""
    return hashlib.sha256(token.encode()).hexdigest()


def new_token() -> str:
    return PREFIX + secrets.token_urlsafe(TOKEN_BYTES)


@transaction.atomic
def screen_make(
    *,
    site: Site,
    name: str,
    now: datetime,
    expires_at: datetime | None = None,
    account: Account | None = None,
) -> tuple[Screen, str]:
    """A screen and its token. The token is told here once and is nowhere stored."""
    token = new_token()
    screen = Screen.objects.create(
        site=site,
        name=name,
        token_hash=token_hash(token),
        token_prefix=token[:PREFIX_SHOWN],
        made_at=now,
        expires_at=expires_at,
    )
    journal_write(
        action="screen.make", subject="schedules.screen", subject_id=str(screen.pk), at=now, account=account
    )
    return screen, token


@transaction.atomic
def screen_revoke(*, screen: Screen, now: datetime, account: Account | None = None) -> None:
    """The token opens nothing from now on."""
    changed = Screen.objects.filter(pk=screen.pk, revoked_at__isnull=True).update(revoked_at=now)
    if changed:
        journal_write(
            action="screen.revoke",
            subject="schedules.screen",
            subject_id=str(screen.pk),
            at=now,
            account=account,
        )


def screen_of_token(token: str, *, now: datetime) -> Screen | None:
    """The screen that a token opens, or None when it is unknown, expired or revoked."""
    screen = Screen.objects.select_related("site").filter(token_hash=token_hash(token)).first()
    return screen if screen and screen.opens(now) else None


def screen_seen(*, screen: Screen, now: datetime) -> None:
    """Note that a screen asked, at most once a minute."""
    latest = now - SEEN_EVERY
    if screen.last_seen_at is None or screen.last_seen_at <= latest:
        unseen = Q(last_seen_at__isnull=True) | Q(last_seen_at__lte=latest)
        Screen.objects.filter(unseen, pk=screen.pk).update(last_seen_at=now)


def screens_in_use() -> QuerySet[Screen]:
    """Those that were not turned off, with their sites."""
    return Screen.objects.filter(revoked_at__isnull=True).select_related("site").order_by("name", "pk")
