"""What a change must pass beside its tests: ``python -m tests.check``.

Lint, format, types, import contracts, missing migrations, and Django's deployment check with the
settings of a full deployment, warnings counted as failures.
"""

import os
import secrets
import subprocess
import sys
import tempfile
import time

PYTHON = sys.executable
# The library's console script may not be on the PATH, and the package has no door of its own for -m.
LINT_IMPORTS = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"
DEPLOYED = {
    "DATABASE_URL": "postgres://postgres@127.0.0.1:5432/postgres",
    "REDIS_URL": "redis://127.0.0.1:6379/9",
    "COMMONROW_SECRET_KEY": secrets.token_urlsafe(60),
    "COMMONROW_PUBLIC_URL": "https://plots.example",
    "COMMONROW_HOSTS": "plots.example",
}
CHECKS: list[tuple[str, list[str], dict[str, str]]] = [
    ("lint", [PYTHON, "-m", "ruff", "check", "."], {}),
    ("format", [PYTHON, "-m", "ruff", "format", "--check", "."], {}),
    ("types", [PYTHON, "-m", "mypy"], {}),
    ("import contracts", [PYTHON, "-c", LINT_IMPORTS], {}),
    ("migrations", [PYTHON, "manage.py", "makemigrations", "--check", "--dry-run"], {}),
    ("deployment", [PYTHON, "manage.py", "check", "--deploy", "--fail-level", "WARNING"], DEPLOYED),
]


def main() -> int:
    failed = []
    with tempfile.TemporaryDirectory(prefix="commonrow-check-") as folder:
        for name, command, extra in CHECKS:
            began = time.monotonic()
            environment = os.environ | {"COMMONROW_DATA": folder} | extra
            answer = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
            word = "ok" if answer.returncode == 0 else "FAILED"
            print(f"{name:<17} {word:<7} {time.monotonic() - began:5.1f} s", flush=True)
            if answer.returncode:
                failed.append(name)
                print(answer.stdout + answer.stderr, flush=True)
    if failed:
        print(f"failed: {', '.join(failed)}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
