"""How fast log-ins may be tried. Tries are slowed down more and more; nobody is ever locked out.

Three counts run at once, and the longest pause of them holds:

1. the pair of account and address: a person who mistypes,
2. the address alone: one machine that tries many accounts,
3. the account alone: many machines that try one account. Its pause stays short, and an address from
   which the account logged in before does not wait for it, so that strangers cannot keep a member out.

A try is counted before the password is looked at, so tries sent at the same moment cannot slip past.
The counts lie in the shared cache under keyed hashes, never under the e-mail address itself.
"""

from dataclasses import dataclass
from datetime import datetime

from django.core.cache import cache
from django.utils.crypto import salted_hmac

COUNT_KEPT_S = 24 * 3600
KNOWN_KEPT_S = 90 * 24 * 3600


@dataclass(frozen=True, slots=True)
class Scope:
    """What is counted, how many tries are free, and the longest pause between two tries."""

    name: str
    free_tries: int
    longest_s: int


PAIR = Scope("pair", free_tries=5, longest_s=900)
ADDRESS = Scope("address", free_tries=20, longest_s=900)
ACCOUNT = Scope("account", free_tries=20, longest_s=60)


def pause_s(tries: int, scope: Scope) -> int:
    """The pause after this many tries: none while they are free, then 2, 4, 8 … seconds."""
    beyond = tries - scope.free_tries
    if beyond < 0:
        return 0
    return min(2 ** min(beyond + 1, 30), scope.longest_s)


def log_in_try(*, email: str, address: str, now: datetime) -> int:
    """Count a try; returns 0 if it may go ahead, else the seconds to wait (and it is not counted)."""
    keys = _keys(email, address)
    scopes = [PAIR, ADDRESS]
    if not cache.get(_known(email, address)):
        scopes.append(ACCOUNT)
    waits = [_seconds_left(keys[scope.name], now) for scope in scopes]
    if any(waits):
        return max(waits)
    return max(_count(keys[scope.name], scope, now) for scope in scopes)


def log_in_succeeded(*, email: str, address: str) -> None:
    """Forget the pair's tries and remember the address as one the account is used from."""
    keys = _keys(email, address)
    cache.delete_many([f"{keys[PAIR.name]}:count", f"{keys[PAIR.name]}:shut"])
    cache.set(_known(email, address), 1, timeout=KNOWN_KEPT_S)


def _count(key: str, scope: Scope, now: datetime) -> int:
    tries = _add_one(f"{key}:count")
    pause = pause_s(tries, scope)
    if not pause:
        return 0
    # add() is atomic: of several tries at one moment only the first finds the gate open.
    until = now.timestamp() + pause
    return 0 if cache.add(f"{key}:shut", until, timeout=pause) else max(1, _seconds_left(key, now))


def _add_one(key: str) -> int:
    if cache.add(key, 1, timeout=COUNT_KEPT_S):
        return 1
    try:
        return cache.incr(key)
    except ValueError:  # ran out between the two lines
        cache.set(key, 1, timeout=COUNT_KEPT_S)
        return 1


def _seconds_left(key: str, now: datetime) -> int:
    until = cache.get(f"{key}:shut")
    return 0 if until is None else max(1, round(until - now.timestamp()))


def _keys(email: str, address: str) -> dict[str, str]:
    person = email.strip().lower()
    return {
        PAIR.name: _hashed(PAIR.name, f"{person} {address}"),
        ADDRESS.name: _hashed(ADDRESS.name, address),
        ACCOUNT.name: _hashed(ACCOUNT.name, person),
    }


def _known(email: str, address: str) -> str:
    return _hashed("known", f"{email.strip().lower()} {address}")


def _hashed(kind: str, value: str) -> str:
    digest = salted_hmac("society.log_in_limits", value, algorithm="sha256").hexdigest()
    return f"log-in:{kind}:{digest}"
