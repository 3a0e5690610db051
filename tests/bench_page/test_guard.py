"""Who is let in: this page, with its token. Everything else is refused by the server itself.

OWASP, Cross-Site Request Forgery and DNS rebinding; RFC 9110, 7.2 (Host), 15.5.20 (421); RFC 6454
(Origin); Fetch Metadata Request Headers, W3C.
"""

from __future__ import annotations

import http.client
import json
import socket
import time

import pytest

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def opened(tmp_path_factory):
    from tests.bench_page.conftest import open_bench

    made = open_bench(tmp_path_factory.mktemp("guard") / "bench")
    yield made
    made.process.terminate()
    made.process.wait(10)


def ask(opened, path="/", method="GET", body=None, **headers):
    """One request as it is written here, with the cookie unless it says otherwise."""
    port = int(opened.origin.rsplit(":", 1)[1])
    sent = {"Host": f"127.0.0.1:{port}", "Cookie": f"nests-bench-{port}={opened.token}", **{
        name.replace("_", "-"): value for name, value in headers.items()}}  # fmt: skip
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    line.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
    for name, value in sent.items():
        if value is not None:
            line.putheader(name, value)
    if body is not None and "Content-Length" not in sent and "Transfer-Encoding" not in sent:
        line.putheader("Content-Length", str(len(body)))
    line.endheaders(body)
    answer = line.getresponse()
    content = answer.read()
    line.close()
    return answer.status, content, answer.headers


def own(opened):
    return {"Origin": opened.origin, "Content-Type": "application/json"}


def change(opened, body, **headers):
    return ask(opened, "/change", "POST", body, **{**own(opened), **headers})


def test_its_own_page_is_let_in(opened):
    status, content, headers = ask(opened)
    assert status == 200
    assert b"What lies on the bench" in content
    assert "default-src 'none'" in headers["content-security-policy"]


@pytest.mark.parametrize("host", ["localhost:1", "evil.example", "127.0.0.1", "127.0.0.1:80", ""])
def test_a_foreign_host_is_refused(opened, host):
    assert ask(opened, Host=host)[0] in (400, 421)


def test_no_host_at_all_is_refused(opened):
    assert ask(opened, Host=None)[0] in (400, 421)


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "http://127.0.0.1:1", None])
def test_a_change_from_elsewhere_is_refused(opened, origin):
    assert change(opened, b"{}", Origin=origin)[0] == 403


def test_a_page_that_says_it_is_elsewhere_is_refused(opened):
    assert ask(opened, "/scene", Sec_Fetch_Site="cross-site")[0] == 403
    assert ask(opened, "/scene", Sec_Fetch_Site="same-site")[0] == 403
    assert ask(opened, "/scene", Origin="http://evil.example")[0] == 403


@pytest.mark.parametrize("cookie", [None, "nests-bench-1=x", "=", "a b;;=\x01"])
def test_without_the_cookie_nothing_is_answered(opened, cookie):
    for path in ("/", "/scene", "/static/bench.js", "/news?version=-1", "/nothing"):
        assert ask(opened, path, Cookie=cookie)[0] in (400, 403)


def test_a_wrong_token_gets_no_cookie(opened):
    status, _, headers = ask(opened, "/?token=wrong", Cookie=None)
    assert status == 403
    assert "set-cookie" not in headers


def test_the_token_gets_a_strict_cookie_and_goes_out_of_the_address(opened):
    status, _, headers = ask(opened, f"/?token={opened.token}", Cookie=None)
    assert status == 303
    assert headers["location"] == "/"
    assert "samesite=strict" in headers["set-cookie"].lower()
    assert "httponly" in headers["set-cookie"].lower()


@pytest.mark.parametrize(
    "path",
    ["/static/../guard.py", "/static/..%2fguard.py", "/static/%2e%2e/guard.py", "/font/../../x",
     "/pack/../place.json", "/pack/x/..%2f..%2fplace.json", "/static//etc/passwd",
     "/static/bench.js%00", "/pack/%2e%2e/place.json", "/photo/..%2f..%2fplace.json"],
)  # fmt: skip
def test_no_path_leads_out(opened, path):
    status, content, _ = ask(opened, path)
    assert status in (400, 404)
    assert b"serial" not in content
    assert b"import" not in content


def test_too_much_is_refused_before_it_is_read(opened):
    assert change(opened, None, Content_Length="99999999999")[0] == 413
    assert change(opened, None, Content_Length="-5")[0] in (400, 413)


def test_too_much_without_a_length_is_refused_while_it_comes(opened):
    piece = b"100000\r\n" + b" " * 0x100000 + b"\r\n"
    body = piece * 26 + b"0\r\n\r\n"
    try:
        status = change(opened, body, Transfer_Encoding="chunked")[0]
    except (BrokenPipeError, ConnectionResetError):
        return  # hung up on
    assert status == 413


@pytest.mark.parametrize(
    "body",
    [b"", b"[]", b"nonsense", b'{"do": 5}', b"\xff\xfe", b"[" * 100_000, b'{"do":"open"}',
     b'{"do":"open","document":{"document":"sheet"}}', b'{"do":"open","document":[1]}',
     b'{"do":"set","at":"sheet:/x","text":"1"}', b'{"do":"place","at":"sheet:/arbors/9/at"}',
     b'{"do":"open","name":"../../x"}', b'{"do":"sizes","family":"os","fields":{}}',
     b'{"do":"say","plan":"/etc/passwd"}', b'{"do":"say","plan":"../work_plans/usual"}',
     b'{"do":"new","fields":{"name":1}}',
     b'{"do":"place","at":"sheet:/arbors/0/at","x":NaN,"y":Infinity}',
     b'{"do":"say","operation":"\\ud800"}',
     b'{"do":"sizes","family":"round","fields":{"diameter":"1e999","height":"4"}}'],
)  # fmt: skip
def test_malformed_changes_are_answered_with_a_sentence_and_change_nothing(opened, body):
    data = body
    if body.startswith(b'{"do"'):
        told = json.loads(ask(opened, "/news?version=-1")[1])
        data = body.replace(b'{"do"', b'{"serial":%d,"do"' % told["serial"], 1)
    before = sorted(path.name for path in (opened.folder / "steps").iterdir())
    status, content, _ = change(opened, data)
    assert status in (200, 400)
    faults = json.loads(content)["faults"]
    assert faults
    assert all(len(each) > 5 for each in faults)
    assert sorted(path.name for path in (opened.folder / "steps").iterdir()) == before


def test_a_second_bench_on_the_folder_is_refused(opened):
    from click.testing import CliRunner

    from nests.faces.cli import cli

    told = CliRunner().invoke(cli, ["bench", str(opened.folder), "--no-browser"])
    assert "is open on another bench" in str(told.exception)


def test_pages_that_are_gone_hold_nothing_up(opened):
    """More of them than the server has threads (40: anyio, Working with threads) wait for news, and
    leave."""
    port = int(opened.origin.rsplit(":", 1)[1])
    version = json.loads(ask(opened, "/news?version=-1")[1])["version"]
    asked = (
        f"GET /news?version={version} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n"
        f"Cookie: nests-bench-{port}={opened.token}\r\n\r\n"
    ).encode()
    lines = [socket.create_connection(("127.0.0.1", port)) for _ in range(60)]
    for line in lines:
        line.sendall(asked)
    time.sleep(1.0)
    for line in lines:
        line.close()
    begun = time.monotonic()
    assert ask(opened, "/slip")[0] == 200
    assert time.monotonic() - begun < 5.0
