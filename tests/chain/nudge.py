"""Put every periodic task on the broker several times at once: `python -m tests.chain.nudge 5`."""

import sys

from society.config import celery_app

TASKS = ("plans_refresh", "deliveries_plan", "deliveries_send")


def main() -> None:
    for _ in range(int(sys.argv[1])):
        for task in TASKS:
            celery_app.send_task(f"schedules.tasks.{task}")


if __name__ == "__main__":
    main()
