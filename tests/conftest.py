"""What holds for all tests."""

from __future__ import annotations

import atexit
import os
import shutil
import signal
import tempfile

from hypothesis import settings

settings.register_profile("house", deadline=None)  # how busy a machine is proves nothing
settings.load_profile("house")

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    # tests that run in the background do not hear Ctrl-C, and what they start would not either
    signal.signal(signal.SIGINT, signal.default_int_handler)

if os.environ.pop("PYTHONDONTWRITEBYTECODE", None):
    # Hundreds of processes are started, and each would compile the program anew: what is compiled
    # is kept for them, in a folder that ends with the tests.
    _compiled = tempfile.mkdtemp(prefix="nests-compiled-")
    os.environ["PYTHONPYCACHEPREFIX"] = _compiled
    atexit.register(shutil.rmtree, _compiled, ignore_errors=True)
