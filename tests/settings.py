"""The project's own settings with what tests must not share: key, data folder, slow hashing."""

import os
import tempfile

os.environ.setdefault("COMMONROW_DATA", tempfile.mkdtemp(prefix="commonrow-tests-"))

from society.config.settings import *  # noqa: F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
