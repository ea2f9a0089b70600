"""Nobody holds a letter that another worker holds."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import ImproperlyConfigured

from schedules import deliveries
from schedules.models import Delivery
from tests import factories
from tests.schedules.deliveries.steps import (
    SEVEN_IN_LONDON,
    claim_one,
    plan,
)

pytestmark = pytest.mark.django_db


def test_a_second_worker_gets_the_next_letter(due: factories.Cast) -> None:
    plan()
    assert claim_one().pk != claim_one().pk


def test_a_claimed_letter_is_not_claimed_again(due: factories.Cast) -> None:
    plan()
    deliveries.deliveries_claim(now=SEVEN_IN_LONDON, limit=10)
    assert deliveries.deliveries_claim(now=SEVEN_IN_LONDON, limit=10) == []


def test_a_letter_is_not_claimed_before_its_next_try(due: factories.Cast) -> None:
    plan()
    Delivery.objects.update(not_before=SEVEN_IN_LONDON + timedelta(seconds=1))
    assert deliveries.deliveries_claim(now=SEVEN_IN_LONDON, limit=10) == []


def test_a_claim_holds_for_the_lease_and_counts_a_try(due: factories.Cast, settings: Any) -> None:
    plan()
    claimed = claim_one()
    assert claimed.lease_until == SEVEN_IN_LONDON + timedelta(seconds=settings.LEASE_SECONDS)
    assert claimed.attempts == 1


def test_a_lease_not_above_the_mail_timeout_is_refused(settings: Any) -> None:
    settings.LEASE_SECONDS = settings.EMAIL_TIMEOUT
    with pytest.raises(ImproperlyConfigured, match="COMMONROW_LEASE_SECONDS"):
        deliveries.lease()
