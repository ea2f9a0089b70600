"""Reading what a service refused."""

from collections.abc import Callable
from typing import Any

import pytest
from django.core.exceptions import ValidationError


def refused(service: Callable[..., Any], **wish: Any) -> dict[str, str]:
    """Call a service that must refuse; its sentences by field."""
    with pytest.raises(ValidationError) as caught:
        service(**wish)
    return {field: "; ".join(messages) for field, messages in caught.value.message_dict.items()}
