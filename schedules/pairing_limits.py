"""How often codes may be guessed: ten wrong ones an hour for each account, two hundred for all together."""

from django.core.cache import cache

WINDOW_S = 3600
MOST_OF_ACCOUNT = 10
MOST_OF_ALL = 200


def may_try(account_id: int) -> bool:
    mine, everybodys = (cache.get(key, 0) for key in _keys(account_id))
    return bool(mine < MOST_OF_ACCOUNT and everybodys < MOST_OF_ALL)


def wrong_code(account_id: int) -> None:
    for key in _keys(account_id):
        if not cache.add(key, 1, timeout=WINDOW_S):
            try:
                cache.incr(key)
            except ValueError:  # ran out between the two lines
                cache.set(key, 1, timeout=WINDOW_S)


def _keys(account_id: int) -> tuple[str, str]:
    return f"pairing:wrong:{account_id}", "pairing:wrong"
