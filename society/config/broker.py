"""Redis as the broker, by a channel that may be closed after its connection is gone.

Kombu 5.7.0 asks such a channel's vanished connection for its address when it gives unread messages back, and
the AttributeError ends the worker: seen when Redis is killed again while workers are finding back to it.
"""

from typing import Any

from kombu.transport import redis as of_kombu
from redis.exceptions import ConnectionError as NoConnection


class Channel(of_kombu.Channel):
    def _connparams(self, *words: Any, **options: Any) -> Any:
        if self.connection is None or self.connection.client is None:
            raise NoConnection("the connection to Redis was given up already")
        return super()._connparams(*words, **options)  # type: ignore[misc]


class Transport(of_kombu.Transport):
    Channel = Channel
