"""The core is light: nothing of the page is loaded for anything else, and without the extra one
sentence says what to install."""

from __future__ import annotations

import subprocess
import sys

WITHOUT = (
    "import sys; sys.modules.update(starlette=None, uvicorn=None); "
    "from nests.faces.cli import main; main(sys.argv[1:])"
)


def run(code, *arguments):
    return subprocess.run(
        [sys.executable, "-c", code, *arguments], capture_output=True, text=True, timeout=60
    )


def test_without_it_one_sentence_says_what_to_install(tmp_path):
    told = run(WITHOUT, "bench", str(tmp_path / "bench"), "--no-browser")
    assert told.returncode == 2
    assert told.stderr.count("\n") == 1
    assert "pip install '.[bench]'" in told.stderr
    assert not (tmp_path / "bench").exists()


def test_all_else_works_without_it():
    assert run(WITHOUT, "--help").returncode == 0
    assert run(WITHOUT, "bench", "--help").returncode == 0


def test_nothing_of_it_is_loaded_for_anything_else():
    code = "import sys, nests.faces.cli; print([m for m in sys.modules if m in %r])"
    told = run(code % (["starlette", "uvicorn", "jinja2", "nests.faces.page.serving"],))
    assert told.stdout.strip() == "[]"


def test_a_port_that_is_taken_is_said(tmp_path):
    import socket

    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        told = run(
            "from nests.faces.cli import main; import sys; main(sys.argv[1:])",
            "bench", str(tmp_path / "bench"), "--no-browser", "--port", port,
        )  # fmt: skip
    assert told.returncode == 2
    assert f"port {port} cannot be used" in told.stderr
