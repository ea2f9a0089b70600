"""A helper of schedules.planning_pool: ``python -m schedules.planning_helper``, started by that alone."""

import sys

from schedules.planning_pool import help_out

if __name__ == "__main__":
    answers, sys.stdout = sys.stdout.buffer, sys.stderr  # nothing else may speak on that pipe
    help_out(sys.stdin.buffer, answers)
