"""Over TLS: this computer's own authority, a new device's first steps, the page without a connection."""

import os
import socket
import ssl
import stat
import subprocess
import threading
from contextlib import contextmanager
from dataclasses import replace
from datetime import timedelta

import httpx
import pytest
from cryptography import x509

from sequencer.bench.access import authority as module
from sequencer.bench.access.address import address
from sequencer.bench.access.authority import FILE, authority
from sequencer.bench.access.install import CERTIFICATE, install_page
from sequencer.bench.access.pairing import Sessions
from sequencer.bench.app import page
from sequencer.bench.ports import listen, server
from sequencer.bench.serve import serve
from sequencer.errors import SequencerError
from sequencer.job.desk import Desk
from tests.bench.conftest import PATIENCE, PHONE, Device, Served, Windows, end, free_port, make_job, needed
from tests.bench.conftest import serve as served_at
from tests.support.profile import before_landing

TICK = ".station:not([hidden]) li:not(.is-done) button.tick"


@contextmanager
def running(app, where, context):
    one = server(app, context)
    thread = threading.Thread(target=one.run, kwargs={"sockets": [listen(where)]}, daemon=True)
    thread.start()
    yield
    end(one, thread)


async def said_hello(_scope, _receive, send):
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": b"hello"})


def trusting(kept):
    return ssl.create_default_context(cadata=kept.pem.decode())


class TestAuthority:
    def test_it_is_made_once_for_its_owner_alone_and_kept(self, tmp_path):
        made = authority(tmp_path / "new", "garage")
        again = authority(tmp_path / "new", "garage")
        assert (made.fresh, again.fresh) == (True, False)
        assert made.fingerprint == again.fingerprint
        assert len(made.fingerprint.split(":")) == 32
        assert stat.S_IMODE((tmp_path / "new" / FILE).stat().st_mode) == 0o600

    def test_a_device_that_has_it_trusts_the_page_and_another_does_not(self, tmp_path):
        kept, where = authority(tmp_path, "garage"), address(lan=False, port=free_port(), secure=True)
        with running(said_hello, where, kept.context(where.host)):
            for url in (where.url, f"https://localhost:{where.port}"):
                assert httpx.get(url, verify=trusting(kept)).text == "hello"
            with pytest.raises(httpx.ConnectError, match="certificate verify failed"):
                httpx.get(where.url)
            with pytest.raises(httpx.ConnectError, match="certificate verify failed"):
                httpx.get(where.url, verify=trusting(authority(tmp_path / "other", "garage")))

    @pytest.mark.parametrize("name", ["198.51.100.7", "2001:db8::7"])  # RFC 5737, RFC 3849: nobody's
    def test_it_can_not_vouch_for_an_address_on_the_internet(self, tmp_path, name):
        kept = authority(tmp_path, "garage")
        with pytest.raises(SequencerError, match="is an address on the internet"):
            kept.context(name)
        # Nor can anybody who has got hold of its key: OpenSSL holds a page's certificate to the constraints.
        forged = tmp_path / "forged.pem"
        forged.write_bytes(kept._page(name))
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(forged)
        where = address(lan=False, port=free_port(), secure=True)
        with (
            running(said_hello, where, context),
            socket.create_connection((where.host, where.port)) as line,
            pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"),
        ):
            trusting(kept).wrap_socket(line, server_hostname=name)

    def test_one_that_ends_soon_is_replaced(self, tmp_path, monkeypatch):
        monkeypatch.setattr(module, "AUTHORITY_DAYS", 100)
        old = authority(tmp_path, "garage")
        monkeypatch.undo()
        assert authority(tmp_path, "garage").fingerprint != old.fingerprint

    def test_the_pages_certificate_is_for_a_server_and_short(self, tmp_path):
        pem = authority(tmp_path, "garage")._page("192.168.1.5")
        one = x509.load_pem_x509_certificate(pem)
        assert one.not_valid_after_utc - one.not_valid_before_utc <= timedelta(days=398)
        names = one.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
        assert {str(name) for name in names.get_values_for_type(x509.IPAddress)} == {
            "192.168.1.5",
            "127.0.0.1",
        }
        assert not one.extensions.get_extension_for_class(x509.BasicConstraints).value.ca

    @pytest.mark.parametrize(
        "text", ["", "nothing", "-----BEGIN CERTIFICATE-----\nAAAA\n-----END CERTIFICATE-----\n"]
    )
    def test_what_is_no_authority_is_said_and_left_alone(self, tmp_path, text):
        (tmp_path / FILE).write_text(text, encoding="ascii")
        with pytest.raises(SequencerError, match="is not an authority that this program made"):
            authority(tmp_path, "garage")
        assert (tmp_path / FILE).read_text(encoding="ascii") == text


def test_a_new_device_gets_the_authority_its_fingerprint_and_nothing_of_the_job(tmp_path):
    kept = authority(tmp_path, "garage")
    plain = address(lan=False, port=free_port())
    app = install_page(kept, replace(plain, install=f"{plain.url}/"))
    with running(app, plain, None):
        shown = httpx.get(plain.url)
        assert kept.fingerprint in shown.text
        assert "/pair/" not in shown.text
        got = httpx.get(plain.url + CERTIFICATE)
        assert got.headers["content-type"] == "application/x-x509-ca-cert"
        assert got.content == kept.certificate
        for path in ("/now", "/static/bench.js", "/bench-authority.pem"):
            assert httpx.get(plain.url + path).status_code == 404
        assert httpx.get(plain.url, headers={"Host": "elsewhere.example"}).status_code == 421


def test_serving_says_where_a_new_device_begins_and_ends_both_servers(tmp_path, monkeypatch):
    said, asked = [], []
    monkeypatch.setattr("sequencer.bench.access.address._own_address", lambda: "127.0.0.2")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    folder, port = make_job(tmp_path / "job").path, free_port()

    def first_look(self, sockets):
        if threading.current_thread() is threading.main_thread():
            install = next(
                line.strip() for text in said for line in text.splitlines() if "    http://" in line
            )
            asked.append(install)
            sockets[0].close()
        else:
            sockets[0].close()

    monkeypatch.setattr("uvicorn.Server.run", first_look)
    serve(folder, said.append, lan=True, port=port, tls=True)
    words = " ".join(" ".join(said).split())
    assert f"https://127.0.0.2:{port}/pair/" in words
    assert "The connection is encrypted" in words
    assert "can read what goes over it" not in words
    assert asked[0].startswith("http://127.0.0.2:")
    assert authority(tmp_path / "settings" / "sequencer", "x").fingerprint.replace(":", "") in words.replace(
        ":", ""
    ).replace(" ", "")
    said.clear()
    monkeypatch.setattr("uvicorn.Server.run", lambda _self, sockets: sockets[0].close())
    serve(folder, said.append, lan=True)
    assert "serve it with" in said[0]
    assert f"--port {port} --lan --tls once more" in " ".join(said[0].split())


WORD = "() => document.getElementById('link-state').textContent"
QUEUE = "() => JSON.parse(Object.entries(localStorage).find(([key]) => key.includes('queue'))[1]).length"
PHOTOS = """() => new Promise((done) => {
  const opening = indexedDB.open('sequencer-photos', 1);
  opening.onsuccess = () => {
    const asked = opening.result.transaction('photos').objectStore('photos').count();
    asked.onsuccess = () => { opening.result.close(); done(asked.result); };
  };
})"""


def comes_to_be(page, what):
    """Wait for a promise to hold; the page's own waiting takes any promise for a yes."""
    for _ in range(PATIENCE // 50):
        if page.evaluate(what):
            return
        page.wait_for_timeout(50)
    pytest.fail(what)


def ready(phone):
    """A page that is kept from now on: the worker has taken over and has what the page is made of."""
    phone.page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    for path in ("/", "/overview", "/log"):
        comes_to_be(phone.page, f"() => caches.open('kept').then(all => all.match('{path}')).then(Boolean)")


def through_an_outage(phone, picture):
    """Tick, reload and photograph without a connection; what has come of it afterwards."""
    phone.open()
    ready(phone)
    phone.context.set_offline(True)
    phone.page.reload()
    phone.page.locator(TICK).first.tap()
    phone.page.locator("details summary").last.tap()
    phone.page.locator("#photo").set_input_files(picture)
    phone.page.wait_for_function(f"{WORD}.includes('2 entries wait')")
    phone.page.reload()
    assert "2 entries wait" in phone.page.locator("#link-state").inner_text()
    assert phone.page.locator("li.is-done.waiting").count() == 1
    phone.open("/step/undo%20guard/screws")
    assert "was not opened on this device before" in phone.page.locator("h1").inner_text()
    phone.open("/overview")
    phone.context.set_offline(False)
    phone.open()
    phone.page.wait_for_function(f"{WORD} === ''")
    phone.page.wait_for_function(f"{QUEUE} === 0")
    assert len(phone.ticked()) == 1
    assert len(list((phone.served.folder / "photos").iterdir())) == 1


@pytest.fixture
def picture(tmp_path):
    from PIL import Image

    Image.new("RGB", (64, 48), (200, 30, 30)).save(tmp_path / "photo.jpg")
    return tmp_path / "photo.jpg"


@before_landing
def test_the_page_goes_through_an_outage_with_reloads_ticks_and_a_photo(device, picture):
    through_an_outage(device(), picture)


@before_landing
def test_a_network_that_says_nothing_is_not_waited_for(windows, tmp_path):
    make_job(tmp_path / "job")
    job, at_work, thread = served_at(tmp_path / "job")
    phone = Device(windows, job)
    phone.open()
    ready(phone)
    end(at_work, thread)
    port = int(job.url.rpartition(":")[2])
    with socket.create_server(("127.0.0.1", port)):  # takes every connection, and never says a word
        phone.page.reload(wait_until="domcontentloaded")  # 1.4 s on a quiet machine; in vain for ever without
        assert phone.page.locator(TICK).count() > 0
    phone.leave()
    job.desk.close()


@before_landing
def test_a_device_that_was_sent_away_keeps_nothing_of_the_job(device, served):
    phone = device()
    phone.open()
    ready(phone)
    served.sessions.end(served.sessions.devices()[0])
    phone.page.goto(served.url)
    assert "not paired" in phone.page.locator("h1").inner_text()
    comes_to_be(phone.page, "() => caches.keys().then(all => all.length === 0)")


@before_landing
def test_a_photo_that_is_none_is_refused_and_told_of_until_it_is_discarded(device, tmp_path):
    phone = device()
    phone.open()
    (tmp_path / "words.jpg").write_text("no picture", encoding="ascii")
    phone.page.locator("details summary").last.tap()
    phone.page.locator("#photo").set_input_files(tmp_path / "words.jpg")
    phone.page.locator("#kept li").wait_for()
    phone.page.locator("#kept button", has_text="Discard").tap()
    phone.page.wait_for_function("() => document.getElementById('kept').hidden")
    assert phone.page.evaluate(PHOTOS) == 0


@pytest.fixture
def trusting_browser(tmp_path, launched):
    """A browser whose own store has the authority, as a phone that installed it; no certificate flags."""
    put = [needed(["certutil"], "libnss3-tools"), "-d", f"sql:{tmp_path}/home/.pki/nssdb"]
    kept, file = authority(tmp_path / "settings", "garage"), tmp_path / "authority.pem"
    file.write_bytes(kept.pem)
    (tmp_path / "home/.pki/nssdb").mkdir(parents=True)
    subprocess.run([*put, "-N", "--empty-password"], check=True)
    subprocess.run([*put, "-A", "-t", "C,,", "-n", "bench", "-i", str(file)], check=True)
    browser = launched(env={**os.environ, "HOME": str(tmp_path / "home")})
    return kept, browser


@before_landing
def test_a_phone_that_installed_the_authority_goes_through_an_outage(trusting_browser, tmp_path, picture):
    kept, browser = trusting_browser
    folder = make_job(tmp_path / "job").path
    where = address(lan=False, port=free_port(), secure=True)
    sessions = Sessions(folder / ".bench-devices.json")
    with running(page(folder, sessions, where), where, kept.context(where.host)):
        phone = Device(
            Windows(browser), Served(where.url, folder, Desk.open(folder), sessions), viewport=PHONE
        )
        phone.context.clear_cookies()
        phone.page.goto(phone.served.invite())
        phone.page.locator("button.main").tap()
        phone.page.wait_for_url(where.url + "/")
        through_an_outage(phone, picture)
        (cookie,) = [one for one in phone.context.cookies() if one["name"] == sessions.cookie]
        assert cookie["secure"]
        browser.close()  # its connections end before the server does
        phone.served.desk.close()


def test_without_other_devices_there_is_nothing_to_encrypt_for(tmp_path, monkeypatch):
    from typer.testing import CliRunner

    from sequencer.cli.app import app

    make_job(tmp_path / "job")
    said = CliRunner().invoke(app, ["bench", "--tls", "--job", str(tmp_path / "job")])
    assert isinstance(said.exception, SequencerError)
    assert "add --lan" in str(said.exception)
