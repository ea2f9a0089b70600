"""Send again what waits for the committee, and print how much: `python -m tests.faults.release`."""

import django

django.setup()

from schedules.deliveries.again import STOPPED, delivery_again  # noqa: E402 - models only after the set-up
from schedules.models import Delivery  # noqa: E402
from society import clock  # noqa: E402


def main() -> None:
    held = list(Delivery.objects.filter(state__in=STOPPED))
    for delivery in held:
        delivery_again(delivery=delivery, account=None, now=clock.now())
    print(len(held))


if __name__ == "__main__":
    main()
