"""The secret part of an invitation's address. It is worked out when needed and stored nowhere.

Whoever reads the database alone cannot make one: it takes the server's secret as well. An address that
was sent keeps working when the secret is changed, because it is found by its hash.
"""

import hashlib

from django.conf import settings
from django.utils.crypto import salted_hmac

from society.models import Invitation

SALT = "society.invitation"


def token_hash(token: str) -> str:
    """What is kept of a token. It is long and random, so a plain hash is enough."""
    return hashlib.sha256(token.encode()).hexdigest()


def token_of(invitation: Invitation) -> str:
    """The token under the present secret, or under the one that the invitation was made with."""
    tokens = [_token(invitation, secret) for secret in (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)]
    return next((token for token in tokens if token_hash(token) == invitation.token_hash), tokens[0])


def _token(invitation: Invitation, secret: str) -> str:
    return salted_hmac(SALT, invitation.key.hex, secret=secret, algorithm="sha256").hexdigest()


def invitation_of(token: str) -> Invitation | None:
    """The invitation that a token opens, whatever has become of it."""
    found = Invitation.objects.select_related("member").filter(token_hash=token_hash(token))
    return found.first()
