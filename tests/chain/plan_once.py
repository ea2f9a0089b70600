"""Work plans out and write down what falls due, once, without a broker: `python -m tests.chain.plan_once`."""

import django

django.setup()

from schedules import deliveries, plan_services  # noqa: E402 - models only after the set-up
from society import clock  # noqa: E402


def main() -> None:
    plan_services.all_replan(now=clock.now())
    deliveries.deliveries_plan(now=clock.now())


if __name__ == "__main__":
    main()
