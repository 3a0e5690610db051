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

# Tests in the background hear neither Ctrl-C nor that a terminal ends, nor would what they start:
# what has a handler here is heard there.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)
if signal.getsignal(signal.SIGHUP) is signal.SIG_IGN:
    signal.signal(signal.SIGHUP, lambda *_: None)

if os.environ.pop("PYTHONDONTWRITEBYTECODE", None):
    # Hundreds of processes are started, and each would compile the program anew: what is compiled
    # is kept for them, in a folder that ends with the tests.
    _compiled = tempfile.mkdtemp(prefix="nests-compiled-")
    os.environ["PYTHONPYCACHEPREFIX"] = _compiled
    atexit.register(shutil.rmtree, _compiled, ignore_errors=True)
