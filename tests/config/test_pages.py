"""Health pages, and the security headers that go out with every page."""

import pytest

from tests.config.installation import python

# By the OWASP HTTP Headers cheat sheet and W3C Content Security Policy Level 3; from memory.
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}

UNREADY = (
    "import django, os; os.environ['DJANGO_SETTINGS_MODULE'] = 'herd.config.settings'; django.setup(); "
    "from django.test import Client; answer = Client(headers={'host': 'localhost'}).get('/health/ready/'); "
    "print(answer.status_code, answer.content.decode())"
)


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["/health/", "/first-run/", "/reset/"])
def test_every_page_carries_the_security_headers(client, address):
    answer = client.get(address)
    assert answer.status_code == 200
    assert {name: answer.headers.get(name) for name in HEADERS} == HEADERS
    policy = answer.headers["Content-Security-Policy"].split("; ")
    assert {"default-src 'self'", "script-src 'self'", "object-src 'none'", "frame-ancestors 'none'"} <= set(policy)
    assert "unsafe" not in answer.headers["Content-Security-Policy"]


def test_health_needs_no_database(client):
    answer = client.get("/health/")
    assert (answer.status_code, answer.content, answer.headers["Content-Type"]) == (
        200,
        b"ok\n",
        "text/plain",
    )


@pytest.mark.django_db
def test_ready_asks_the_database(client):
    answer = client.get("/health/ready/")
    assert (answer.status_code, answer.content) == (200, b"ready\n")


def test_ready_says_503_where_the_database_does_not_answer(tmp_path):
    # Nobody listens on port 1, which IANA gives to tcpmux.
    answer = python(tmp_path, UNREADY, NOTCHBOOK_DATABASE_URL="postgresql://nobody@127.0.0.1:1/none")
    assert answer.stdout.startswith("503 the database does not answer"), answer.stderr


def test_health_takes_no_writes(client):
    assert client.post("/health/").status_code == 405


def test_a_host_that_is_not_ours_is_refused(client):
    assert client.get("/reset/", headers={"host": "elsewhere.example"}).status_code == 400
