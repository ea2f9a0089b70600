"""Ask for so many senders: `python -m tests.bench.nudge_letters 2`."""

import sys

from society.config import celery_app


def main() -> None:
    for _ in range(int(sys.argv[1])):
        celery_app.send_task("schedules.tasks.deliveries_send")


if __name__ == "__main__":
    main()
