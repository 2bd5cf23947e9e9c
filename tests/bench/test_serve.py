"""Serving: a port that stays, one server for a job, a cookie of its own, connections that say nothing."""

import socket
import subprocess
import sys
import threading
import time

import httpx
import pytest

from sequencer.bench.access import connections
from sequencer.bench.access.address import address
from sequencer.bench.access.one_server import alone_in
from sequencer.bench.access.pairing import Sessions
from sequencer.bench.ports import kept_port, listen
from sequencer.bench.serve import serve
from sequencer.errors import SequencerError
from tests.bench.conftest import free_port, make_job, run
from tests.support.profile import before_landing


@pytest.fixture
def unserved(monkeypatch):
    """Serving up to where the server would run; what was said, and where it would listen."""
    told = []

    def ran(_app, listening, _sessions, where, _say, _trusted):
        listening.close()
        told.append(where.port)

    monkeypatch.setattr("sequencer.bench.serve._run", ran)
    return told


def test_a_job_keeps_its_port(tmp_path, unserved):
    folder, first, said = make_job(tmp_path / "job").path, free_port(), []
    serve(folder, said.append, port=first)
    serve(folder, said.append)
    assert unserved == [first, first]
    assert said == []
    other = free_port()
    serve(folder, said.append, port=other)
    assert f"--port {first} once more" in said[0]
    assert kept_port(folder) == (other, False)


def test_a_port_that_is_taken_is_refused_and_no_other_one_taken_for_it(tmp_path, unserved):
    folder, port = make_job(tmp_path / "job").path, free_port()
    with (
        listen(address(lan=False, port=port)),
        pytest.raises(SequencerError, match="give another with --port"),
    ):
        serve(folder, print, port=port)
    assert kept_port(folder) == (None, False)
    assert unserved == []


@pytest.mark.parametrize("text", ["", "x", "0", "99999999", "-1"])
def test_a_port_file_that_makes_no_sense_counts_for_nothing(tmp_path, text):
    (tmp_path / ".bench-port").write_text(text, encoding="ascii")
    assert kept_port(tmp_path) == (None, False)


def test_a_second_server_of_a_job_is_refused_also_at_another_port(tmp_path, unserved):
    folder = make_job(tmp_path / "job").path
    holding = "import sys, pathlib; from sequencer.bench.access.one_server import alone_in\n"
    holding += "with alone_in(pathlib.Path(sys.argv[1])): print('held', flush=True); sys.stdin.read()"
    with subprocess.Popen(
        [sys.executable, "-c", holding, str(folder)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as other:
        assert other.stdout.readline() == "held\n"
        with pytest.raises(SequencerError, match="is being served already; open that page"):
            serve(folder, print, port=free_port())
        other.kill()
    serve(folder, print, port=free_port())
    assert len(unserved) == 1


def test_a_folder_is_free_again_once_its_server_has_ended(tmp_path):
    for _ in range(2):
        with alone_in(tmp_path):
            pass


def test_two_jobs_of_one_host_have_cookies_of_their_own(tmp_path):
    one, two = (Sessions(tmp_path / name, job=name) for name in ("one", "two"))
    assert one.cookie != two.cookie
    assert one.cookie == Sessions(tmp_path / "elsewhere", job="one").cookie


def test_in_a_network_it_says_who_can_read_along(tmp_path, monkeypatch):
    said = []
    monkeypatch.setattr("sequencer.bench.access.address._own_address", lambda: "127.0.0.2")
    monkeypatch.setattr("uvicorn.Server.run", lambda _self, sockets: [one.close() for one in sockets])
    folder = make_job(tmp_path / "job").path
    serve(folder, said.append, lan=True, port=free_port())
    assert any("not encrypted: others in the network can read" in " ".join(line.split()) for line in said)


@pytest.fixture
def listening(monkeypatch):
    """A server with little patience, and where it is."""
    monkeypatch.setattr(connections, "HEADER_SECONDS", 1.0)
    monkeypatch.setattr(connections, "CONNECTIONS_AT_MOST", 100)

    async def app(_scope, receive, send):
        await receive()
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"the job"})

    where = address(lan=False, port=free_port())
    server, thread = run(app, where)
    yield where
    server.should_exit = True
    thread.join(timeout=10)


def closed(sockets):
    """How many of the sockets the server has ended."""
    gone = 0
    for one in sockets:
        one.setblocking(False)
        try:
            gone += one.recv(1) == b""
        except BlockingIOError:
            continue
        except OSError:
            gone += 1
    return gone


@before_landing
def test_four_hundred_connections_that_say_nothing_lock_nobody_out(listening):
    sockets = [socket.create_connection((listening.host, listening.port)) for _ in range(400)]
    for one in sockets[::2]:
        one.send(b"GET / HTTP/1.1\r\nHost: x\r\n")  # and never the end of it
    assert httpx.get(listening.url, timeout=60).text == "the job"
    assert closed(sockets) >= 250
    until = time.monotonic() + 60
    while closed(sockets) < len(sockets) and time.monotonic() < until:
        time.sleep(0.1)
    assert closed(sockets) == len(sockets)
    for one in sockets:
        one.close()


def test_a_dribble_of_letters_puts_off_no_deadline(listening):
    with socket.create_connection((listening.host, listening.port)) as one:
        stop = threading.Event()

        def dribble():
            while not stop.wait(0.1):
                try:
                    one.send(b"x")
                except OSError:
                    return

        one.send(b"GET / HTTP/1.1\r\nX: ")
        thread = threading.Thread(target=dribble)
        thread.start()
        one.settimeout(60)
        try:
            ended = one.recv(1) == b""
        except ConnectionError:
            ended = True
        stop.set()
        thread.join()
    assert ended


def test_a_connection_is_kept_for_the_next_request(listening):
    with httpx.Client() as client:
        for _ in range(3):
            assert client.get(listening.url).text == "the job"
            time.sleep(0.4)
