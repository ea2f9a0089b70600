"""The project's own settings with what tests must not share: key, data folder, slow hashing."""

import os
import tempfile

# Tests that run side by side would inherit one folder from the process that started them.
if "PYTEST_XDIST_WORKER" in os.environ or "COMMONROW_DATA" not in os.environ:
    os.environ["COMMONROW_DATA"] = tempfile.mkdtemp(prefix="commonrow-tests-")

from society.config.settings import *  # noqa: F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
