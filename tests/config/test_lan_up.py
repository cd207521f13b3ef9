"""`manage.py up --lan` as a ranch runs it: sign-in over TLS, a secure context for phones, plain localhost as it was."""

import base64
import hashlib
import re
import shutil
import ssl
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from playwright.sync_api import Playwright, sync_playwright

from herd.config.lannames import names_of_machine
from tests.cast import PASSWORD
from tests.config.installation import ROOT, environment, free_port, serving

# A machine that does much else at once starts slowly.
LONGEST_START = 300.0
LONG = 120.0


@dataclass(frozen=True, slots=True)
class Ranch:
    """An installation that serves its network: its folder, its ports, and the name of the machine."""

    var: Path
    log: Path
    plain: int
    site: int
    trust: int
    host: str

    @property
    def trusting(self) -> ssl.SSLContext:
        return ssl.create_default_context(cafile=self.var / "lan" / "authority.crt")

    @property
    def pin(self) -> str:
        """The leaf's public key as a browser is told to accept it."""
        leaf = x509.load_pem_x509_certificate((self.var / "lan" / "site.pem").read_bytes())
        key = leaf.public_key().public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
        return base64.b64encode(hashlib.sha256(key).digest()).decode()


@pytest.fixture(scope="module")
def ranch(tmp_path_factory, upgraded):
    """The installation, with an outfit and its owner."""
    folder = tmp_path_factory.mktemp("ranch")
    made = Ranch(folder / "var", folder / "log", free_port(), free_port(), free_port(), names_of_machine().host)
    shutil.copytree(upgraded, made.var)
    manage(made.var, "outfit", "kettle-bench", "--name", "Kettle Bench", "--owner", "ada")
    ports = ["--port", made.plain, "--lan", "--lan-port", made.site, "--trust-port", made.trust]
    with serving(made.var, made.log, *map(str, ports)):
        until = time.monotonic() + LONGEST_START
        while not re.search("On this network|on no network", made.log.read_text()):
            assert time.monotonic() < until, made.log.read_text()
            time.sleep(0.2)
        yield made


def manage(var: Path, *arguments: str) -> None:
    """Run a command of the installation to its end."""
    told = environment(var, NOTCHBOOK_PASSWORD=PASSWORD)
    subprocess.run([sys.executable, "manage.py", *arguments], cwd=ROOT, env=told, check=True, timeout=300)


def sign_in(client: httpx.Client, origin: str) -> httpx.Response:
    page = client.get("/sign-in/")
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page.text)[1]
    form = {"csrfmiddlewaretoken": token, "username": "ada", "password": PASSWORD}
    return client.post("/sign-in/", data=form, headers={"Origin": origin, "Referer": f"{origin}/sign-in/"})


def test_a_person_signs_in_over_tls_and_the_cookies_stay_on_it(ranch):
    origin = f"https://127.0.0.1:{ranch.site}"
    with httpx.Client(base_url=origin, verify=ranch.trusting, timeout=LONG) as client:
        answer = sign_in(client, origin)
        assert answer.status_code == 302
        assert [one.secure for one in client.cookies.jar] == [True, True]
        assert "Kettle Bench" in client.get("/").text


def test_a_form_of_another_site_is_refused_over_tls(ranch):
    with httpx.Client(base_url=f"https://127.0.0.1:{ranch.site}", verify=ranch.trusting, timeout=LONG) as client:
        assert sign_in(client, "https://elsewhere.example").status_code == 403


def test_plain_localhost_stays_as_it_was(ranch):
    origin = f"http://127.0.0.1:{ranch.plain}"
    with httpx.Client(base_url=origin, timeout=LONG) as client:
        assert sign_in(client, origin).status_code == 302
        assert [one.secure for one in client.cookies.jar] == [False, False]
        assert "Kettle Bench" in client.get("/").text


def test_the_site_answers_to_the_names_of_the_machine_and_to_no_other(ranch):
    url = f"https://127.0.0.1:{ranch.site}/health/"
    for host, status in ((f"{ranch.host}:{ranch.site}", 200), ("elsewhere.example", 400)):
        assert httpx.get(url, headers={"Host": host}, verify=ranch.trusting, timeout=LONG).status_code == status


def test_a_scale_pc_is_told_of_the_authority_by_its_environment(ranch):
    code = f"import httpx; print(httpx.get('https://localhost:{ranch.site}/health/').status_code)"
    told = {"SSL_CERT_FILE": str(ranch.var / "lan" / "authority.crt")}
    for more, said in (({}, "CERTIFICATE_VERIFY_FAILED"), (told, "200")):
        done = subprocess.run(
            [sys.executable, "-c", code], env=environment(ranch.var, **more), capture_output=True, text=True,
            check=False, timeout=LONG,
        )  # fmt: skip
        assert said in done.stdout + done.stderr


@pytest.fixture
def player():
    with sync_playwright() as opened:
        yield opened


def phone(player: Playwright, chromium: str, folder: Path, *more: str):
    """A browser that finds the machine by its name, as by mDNS."""
    name = names_of_machine().host
    arguments = ["--no-sandbox", "--disable-gpu", f"--host-resolver-rules=MAP {name} 127.0.0.1", *more]
    opened = player.chromium.launch_persistent_context(
        folder, executable_path=chromium, args=arguments, viewport={"width": 390, "height": 800}
    )
    opened.set_default_timeout(LONG * 1000)
    return opened


@pytest.mark.browser
def test_a_phone_that_trusts_has_a_secure_context_and_keeps_the_chute_page(ranch, player, chromium, tmp_path):
    browser = phone(player, chromium, tmp_path, f"--ignore-certificate-errors-spki-list={ranch.pin}")
    page = browser.new_page()
    page.goto(f"http://{ranch.host}:{ranch.trust}/")
    assert page.evaluate("window.isSecureContext") is False
    page.goto(f"http://{ranch.host}:{ranch.trust}/chute/")
    assert page.url == f"https://{ranch.host}:{ranch.site}/chute/"
    assert page.evaluate("window.isSecureContext") is True
    scope = page.evaluate("navigator.serviceWorker.ready.then((registration) => registration.scope)")
    assert scope == f"https://{ranch.host}:{ranch.site}/chute/"
    browser.close()


@pytest.mark.browser
def test_a_phone_that_does_not_trust_reads_how_to_on_every_screen_and_is_warned(ranch, player, chromium, tmp_path):
    browser = phone(player, chromium, tmp_path)
    page = browser.new_page()
    said = []
    page.on("console", lambda message: said.append(message.text))
    for width in (1440, 390):
        page.set_viewport_size({"width": width, "height": 800})
        page.goto(f"http://{ranch.host}:{ranch.trust}/")
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert Axe().run(page).violations_count == 0
        page.screenshot(path=tmp_path / f"trust-{width}.png", full_page=True)
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "Open Notchbook"
    assert said == []
    with pytest.raises(Exception, match="ERR_CERT_AUTHORITY_INVALID"):
        page.goto(f"https://{ranch.host}:{ranch.site}/chute/")
    browser.close()
