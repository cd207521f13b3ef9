"""The ranch network is served over TLS, explains itself over plain HTTP, and follows the machine when it moves."""

import re
import socket
import time

import httpx
import pytest
from django.core.management.base import CommandError
from zeroconf import ServiceBrowser, ServiceStateChange, Zeroconf

from herd.config.lan import NO_NETWORK, Lan, LanPorts
from herd.config.lanannounce import KIND, Announcement
from herd.config.lannames import LanNames
from herd.config.lanserver import LanServer, secured
from herd.config.lantrust import TrustPages, in_lines
from tests.config.installation import wait_until
from tests.config.lanparty import AT_FIRST, AT_SECOND, FIRST, HOST, SECOND, trusting


def tell_all(environ, start):
    """An application that says how it was called, and sets two cookies."""
    size = len(environ["wsgi.input"].read(int(environ.get("CONTENT_LENGTH") or 0)))
    said = f"{environ['wsgi.url_scheme']} {environ['HTTP_HOST']} {environ['REMOTE_ADDR']} {size}"
    start("200 OK", [("Set-Cookie", "a=1; Path=/"), ("Set-Cookie", "b=2; Secure"), ("Content-Type", "text/plain")])
    return [said.encode()]


class Network:
    """A served network whose machine can be moved, and the visitors that trust it."""

    def __init__(self, settings, folder, application=tell_all):
        settings.VAR_DIR, settings.ALLOWED_HOSTS = folder, ["localhost", "127.0.0.1"]
        self.folder, self.names, self.said = folder / "lan", AT_FIRST, []
        self.lan = Lan(application, LanPorts(0, 0), self.said.append, lambda: self.names)
        self.lan._announcement = Announcement(self.said.append, ["127.0.0.1"])
        self.lan.start()
        self.site, self.trust = self.lan._site.port, self.lan._trust.port

    def get(self, host=str(FIRST), path="/", **more):
        return httpx.get(f"https://{host}:{self.site}{path}", verify=trusting(self.folder), **more)

    def plain(self, path="/", host=str(FIRST), **more):
        return httpx.get(f"http://{FIRST}:{self.trust}{path}", headers={"Host": host}, **more)


@pytest.fixture
def network(settings, tmp_path):
    made = Network(settings, tmp_path)
    yield made
    made.lan.stop()


def test_the_site_is_reached_over_tls_by_whoever_trusts_it(network):
    answer = network.get()
    assert answer.text == f"https {FIRST}:{network.site} 127.0.0.1 0"
    assert answer.headers.get_list("Set-Cookie") == ["a=1; Path=/; Secure", "b=2; Secure"]
    assert "Strict-Transport-Security" not in answer.headers
    assert answer.headers["Server"] == "Notchbook"


def test_whoever_does_not_trust_it_gets_nothing(network):
    with pytest.raises(httpx.ConnectError, match="CERTIFICATE_VERIFY_FAILED"):
        httpx.get(f"https://{FIRST}:{network.site}/")
    with pytest.raises(httpx.ConnectError, match="CERTIFICATE_VERIFY_FAILED"):
        network.get(str(SECOND))


def test_a_file_of_some_size_comes_through(network):
    url = f"https://{FIRST}:{network.site}/"
    answer = httpx.post(url, content=b"x" * 5_000_000, verify=trusting(network.folder), timeout=30)
    assert answer.text.endswith(" 5000000")


def test_silent_and_wrong_callers_keep_nobody_waiting(network):
    silent = [socket.create_connection((str(FIRST), network.site)) for _ in range(6)]
    for one in silent[:2]:
        one.sendall(b"GET / HTTP/1.1\r\nHost: x\r\n\r\n")
    began = time.monotonic()
    assert network.get().status_code == 200
    # One after the other they would have had ten seconds each.
    assert time.monotonic() - began < 9
    for one in silent:
        one.close()


def test_a_machine_that_moves_gets_a_certificate_and_names_of_its_new_network(network, settings):
    assert str(SECOND) not in settings.ALLOWED_HOSTS
    network.names = AT_SECOND
    network.lan.look()
    assert network.get(str(SECOND)).status_code == 200
    assert set(settings.ALLOWED_HOSTS) == {"localhost", "127.0.0.1", HOST, str(SECOND)}
    assert any(f"https://{SECOND}:{network.site}/" in one for one in network.said)
    with pytest.raises(httpx.ConnectError, match="CERTIFICATE_VERIFY_FAILED"):
        network.get(str(FIRST))


def test_a_machine_that_leaves_its_network_says_so(network):
    network.names = LanNames(HOST, ())
    network.lan.look()
    assert network.said[-1] == NO_NETWORK
    assert network.get("localhost").status_code == 200


def test_a_spoilt_authority_while_serving_is_said_and_the_old_certificate_goes_on(network):
    (network.folder / "authority.crt").write_bytes(b"nonsense")
    network.lan.look()
    assert "can't be read" in network.said[-1]


def test_stopping_gives_the_names_back(settings, tmp_path):
    made = Network(settings, tmp_path)
    made.lan.stop()
    assert settings.ALLOWED_HOSTS == ["localhost", "127.0.0.1"]
    with pytest.raises(httpx.ConnectError):
        httpx.get(f"http://{FIRST}:{made.trust}/")


def test_the_console_says_address_code_fingerprint_and_caution(network):
    said = "\n".join(network.said)
    assert f"https://{FIRST}:{network.site}/ or https://{HOST}:{network.site}/" in said
    assert f"opens http://{FIRST}:{network.trust}/ first" in said
    assert "▄" in said
    assert "\n".join(in_lines(network.lan.trusted().fingerprint)) in said
    assert "authority.key can pose as this machine" in said


def test_a_fingerprint_is_all_there_and_no_pair_is_broken(network):
    lines = in_lines(network.lan.trusted().fingerprint)
    assert [len(line.split(":")) for line in lines] == [8, 8, 8, 8]
    assert ":".join(lines) == network.lan.trusted().fingerprint


def test_the_plain_page_explains_and_shows_the_same_fingerprint(network):
    page = network.plain()
    assert page.status_code == 200
    assert re.findall(r"<span>([0-9A-F:]+)</span>", page.text) == in_lines(network.lan.trusted().fingerprint)
    assert f"https://{FIRST}:{network.site}/" in page.text
    assert "default-src 'self'" in page.headers["Content-Security-Policy"]
    assert network.plain("/trust.css").headers["Content-Type"].startswith("text/css")


def test_the_certificate_is_handed_out_and_its_key_never(network):
    answer = network.plain("/authority.crt")
    assert answer.headers["Content-Type"] == "application/x-x509-ca-cert"
    # In the form that phones take, and SSL_CERT_FILE too.
    assert answer.content == (network.folder / "authority.crt").read_bytes()
    key = (network.folder / "authority.key").read_bytes().splitlines()[1]
    for path in ("/", "/authority.key", "/site.pem", "/../authority.key", "/authority.crt"):
        assert key not in network.plain(path).content


@pytest.mark.parametrize(
    ("path", "host", "where"),
    [
        ("/chute/?x=1", "", "https://{own}/chute/?x=1"),
        ("/days/", f"{HOST}:8080", "https://mill-trap.local:{site}/days/"),
        ("/days/", "elsewhere.example", "https://{own}/days/"),
        ("/a%0d%0aX: y", "", "https://{own}/a%0d%0aX:%20y"),
    ],
)
def test_every_other_plain_address_leads_to_the_site_and_nowhere_else(network, path, host, where):
    own = f"{FIRST}:{network.site}"
    answer = network.plain(path, host or f"{FIRST}:{network.trust}")
    assert answer.status_code == 302
    assert answer.headers["Location"] == where.format(own=own, site=network.site)
    assert "X" not in answer.headers


@pytest.mark.parametrize("path", ["//elsewhere.example/", "/\r\nX: y", "elsewhere.example", ""])
def test_no_path_can_name_another_host(network, path):
    """Also one that the server in front would have refused."""
    seen = []
    environ = {"REQUEST_METHOD": "GET", "PATH_INFO": path, "HTTP_HOST": HOST}
    TrustPages(network.lan.trusted)(environ, lambda status, headers: seen.append(dict(headers)["Location"]))
    assert re.fullmatch(rf"https://{HOST}:{network.site}/[^/\s]\S*|https://{HOST}:{network.site}/", seen[0])


def test_nothing_is_sent_over_the_plain_page(network):
    answer = httpx.post(f"http://{FIRST}:{network.trust}/sign-in/", data={"password": "x"})
    assert answer.status_code == 405


def test_a_port_that_is_taken_gives_way_to_the_next():
    with socket.socket() as other:
        other.bind(("0.0.0.0", 0))
        other.listen()
        taken = other.getsockname()[1]
        server = LanServer(tell_all, taken)
        assert server.port > taken
        server.begin()
        server.end()


def test_in_production_it_is_refused(settings, tmp_path):
    settings.PRODUCTION, settings.VAR_DIR = True, tmp_path
    with pytest.raises(CommandError, match="in production the proxy speaks TLS"):
        Lan(tell_all, LanPorts(0, 0), print)


def test_a_cookie_is_marked_once_whatever_its_case():
    seen = []
    answer = secured(lambda environ, start: start("200 OK", [("set-cookie", "a=1; SECURE"), ("X", "set-cookie")]) or [])
    answer({}, lambda status, headers: seen.extend(headers))
    assert seen == [("set-cookie", "a=1; SECURE"), ("X", "set-cookie")]


def test_the_announcement_is_seen_on_the_network_and_taken_back():
    said, seen, gone = [], {}, []

    def note(zeroconf, service_type, name, state_change):
        if state_change is ServiceStateChange.Removed:
            gone.append(name)
        elif info := zeroconf.get_service_info(service_type, name):
            seen[name] = (info.server, info.parsed_addresses(), info.port)

    announcement, listener = Announcement(said.append, ["127.0.0.1"]), Zeroconf(["127.0.0.1"])
    browser = ServiceBrowser(listener, KIND, handlers=[note])
    try:
        announcement.tell(AT_FIRST, 8443)
        name = f"Notchbook on mill-trap.{KIND}"
        wait_until(lambda: name in seen, "the announcement is seen")
        assert seen[name] == (f"{HOST}.", [str(FIRST)], 8443)
        announcement.tell(AT_SECOND, 8443)
        wait_until(lambda: seen[name][1] == [str(SECOND)], "the new address is seen")
        announcement.end()
        wait_until(lambda: name in gone, "the announcement is taken back")
    finally:
        announcement.end()
        browser.cancel()
        listener.close()
    assert said == []


def test_a_network_without_announcements_is_said_and_borne():
    said = []
    Announcement(said.append, ["203.0.113.9"]).tell(AT_FIRST, 8443)
    assert re.match(r"The network takes no announcements \(.*\); use the address with digits\.", said[0])
