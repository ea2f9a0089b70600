"""A file that was looked at, carried by the page itself until it is kept: packed, signed, and for an hour.

Nothing of it lies on the server meanwhile, so there is nothing to sweep away, to mix up between two people,
or to find under a name that somebody chose. The signature binds it to its site and its account.
"""

import base64
import zlib
from datetime import UTC, datetime, timedelta

from django.core.signing import BadSignature, Signer

LASTS = timedelta(hours=1)
# A form's fields may have 2.5 MB in all (Django, DATA_UPLOAD_MAX_MEMORY_SIZE).
MOST_CARRIED = 2_000_000
CHOOSE_AGAIN = "Choose the file again."


class CarriedFault(ValueError):
    """What came back is not what was carried; the message says what to do."""


def carry(data: bytes, *, about: str, now: datetime) -> str:
    """Text for a hidden field; empty where the file is too large to be carried.

    ``about`` says whose it is, and for what; the same must be said when it comes back.
    """
    packed = base64.urlsafe_b64encode(zlib.compress(data, 9)).decode("ascii")
    carried = _signer(about).sign(f"{int(now.timestamp())}.{packed}")
    return carried if len(carried) <= MOST_CARRIED else ""


def unpacked(carried: str, *, about: str, most: int, now: datetime) -> bytes:
    """The file as it was; raises CarriedFault where it was changed, is another's, or an hour old."""
    try:
        stamp, _, packed = _signer(about).unsign(carried).partition(".")
    except BadSignature:
        raise CarriedFault(f"What came back is not the file that you looked at. {CHOOSE_AGAIN}") from None
    made = datetime.fromtimestamp(int(stamp), tz=UTC)
    if not made <= now + timedelta(seconds=1) or now - made > LASTS:
        raise CarriedFault(f"You looked at the file more than an hour ago. {CHOOSE_AGAIN}")
    return zlib.decompressobj().decompress(base64.urlsafe_b64decode(packed), most + 1)


def _signer(about: str) -> Signer:
    return Signer(salt=f"carried file: {about}", sep=":")
