"""What lies in herd/config/deploy fits together, and each program takes it as it is."""

import ast
import configparser
import importlib.util
import json
import re
import shutil
import signal
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
import yaml

from herd.config.celery import app
from herd.config.proxied import behind_proxy
from tests.config.installation import ROOT, end, environment, fetch, free_port, python, wait_until

DEPLOY = ROOT / "herd" / "config" / "deploy"
UNITS = sorted(DEPLOY.glob("*.service"))
NO_NGINX = "nginx is not on this machine, so its settings were not tried"


def unit(path: Path) -> configparser.ConfigParser:
    read = configparser.ConfigParser(interpolation=None, delimiters=("=",), comment_prefixes=("#",))
    read.optionxform = str
    read.read_string(path.read_text())
    return read


def variables() -> dict[str, str]:
    lines = [line for line in (DEPLOY / "notchbook.env").read_text().splitlines() if line and line[0] != "#"]
    return dict(line.split("=", 1) for line in lines)


def known_variables() -> set[str]:
    """Every NOTCHBOOK_ name in the wiring's own code."""
    sources = [path for path in (ROOT / "herd" / "config").rglob("*.py")]
    texts = [node.value for path in sources for node in ast.walk(ast.parse(path.read_text()))
             if isinstance(node, ast.Constant) and isinstance(node.value, str)]  # fmt: skip
    return {name for text in texts for name in re.findall(r"NOTCHBOOK_[A-Z_]+", text)}


def compose() -> dict:
    return yaml.safe_load((DEPLOY / "compose.yaml").read_text())


def test_there_is_a_unit_for_each_program():
    names = {path.stem for path in UNITS}
    assert names == {"notchbook-clock", "notchbook-upgrade", "notchbook-web", "notchbook-worker"}


@pytest.mark.parametrize("path", UNITS, ids=lambda path: path.stem)
def test_a_unit_starts_what_there_is_in_the_right_order(path):
    read = unit(path)
    program, *arguments = read["Service"]["ExecStart"].split()
    name = Path(program).name
    assert program.startswith("/opt/notchbook/.venv/bin/")
    assert name.startswith("python") or importlib.util.find_spec(name)
    for argument in arguments:
        if argument.startswith(("python:herd.", "herd.")):
            assert importlib.util.find_spec(argument.removeprefix("python:")), argument
    ours = [word for word in read["Unit"].get("Requires", "").split() if word.startswith("notchbook-")]
    assert all((DEPLOY / word).exists() and word in read["Unit"]["After"] for word in ours)
    assert (read["Service"]["User"], read["Service"]["NoNewPrivileges"]) == ("notchbook", "yes")
    assert read["Service"]["EnvironmentFile"] == "/etc/notchbook/notchbook.env"


def test_every_variable_of_the_environment_file_is_one_that_is_read():
    assert set(variables()) <= known_variables()
    assert list(variables())[:2] == ["NOTCHBOOK_DATABASE_URL", "NOTCHBOOK_BROKER_URL"]


def test_production_starts_on_the_environment_file_once_its_secret_is_set(tmp_path):
    given = {**variables(), "NOTCHBOOK_VAR": str(tmp_path), "NOTCHBOOK_BACKUPS": str(tmp_path / "kept")}
    load = (
        "import herd.config.settings as s; "
        "print(s.PRODUCTION, s.DATABASES['default']['ENGINE'], s.CELERY_BROKER_URL)"
    )
    refused = python(tmp_path, load, **given)
    assert "NOTCHBOOK_SECRET must be set in production." in refused.stderr
    started = python(tmp_path, load, **{**given, "NOTCHBOOK_SECRET": "s" * 50})
    assert started.stdout.split() == ["True", "django.db.backends.postgresql", "redis://127.0.0.1:6379/0"]


def test_containers_run_what_the_units_run():
    services = compose()["services"]
    for name in ("worker", "clock", "upgrade"):
        command = unit(DEPLOY / f"notchbook-{name}.service")["Service"]["ExecStart"].split()
        assert [Path(command[0]).name, *command[1:]] == services[name]["command"]
    web = unit(DEPLOY / "notchbook-web.service")["Service"]["ExecStart"].split()
    image = re.search(r"^CMD (\[.*\])$", (DEPLOY / "Dockerfile").read_text(), re.MULTILINE)
    assert json.loads(image[1]) == [Path(web[0]).name, *web[1:]]


def test_each_container_waits_for_what_it_needs():
    services, volumes = compose()["services"], compose()["volumes"]
    assert set(services) == {"database", "broker", "upgrade", "web", "worker", "clock"}
    for name, service in services.items():
        assert set(service.get("depends_on", {})) <= set(services), name
        assert {each.partition(":")[0] for each in service["volumes"]} <= set(volumes), name
        for needed, how in service.get("depends_on", {}).items():
            assert how["condition"] != "service_healthy" or "healthcheck" in services[needed]
    assert "upgrade" in services["web"]["depends_on"]
    assert services["web"]["ports"] == ["127.0.0.1:8000:8000"]


def test_the_clock_asks_only_for_tasks_that_there_are():
    app.loader.import_default_modules()
    asked = {entry["task"] for entry in app.conf.beat_schedule.values()}
    assert asked == {"intake.resume_unfinished", "archive.back_up_daily", "sync.keep_in_step"}
    assert asked <= set(app.tasks)


def test_nginx_takes_its_settings(tmp_path):
    program = shutil.which("nginx") or shutil.which("nginx", path="/usr/sbin")
    if not program:
        pytest.skip(NO_NGINX)
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "1", "-subj", "/CN=herd.example.org",
         "-keyout", tmp_path / "privkey.pem", "-out", tmp_path / "fullchain.pem"],
        check=True, capture_output=True,
    )  # fmt: skip
    site = (DEPLOY / "nginx.conf").read_text().replace("/etc/notchbook/tls", str(tmp_path))
    (tmp_path / "site.conf").write_text(site)
    whole = f"pid {tmp_path}/pid; error_log stderr; events {{}} http {{ include {tmp_path}/site.conf; }}"
    (tmp_path / "nginx.conf").write_text(whole)
    tried = subprocess.run([program, "-t", "-c", tmp_path / "nginx.conf"], capture_output=True, text=True, check=False)
    assert tried.returncode == 0, tried.stderr
    (tmp_path / "site.conf").write_text(site.replace("proxy_pass http://notchbook;", "proxy_past;", 1))
    assert subprocess.run([program, "-t", "-c", tmp_path / "nginx.conf"], capture_output=True, check=False).returncode


@pytest.mark.parametrize(
    ("proxy", "peer", "said", "address", "scheme"),
    [
        ("127.0.0.1", "127.0.0.1", "203.0.113.7, 198.51.100.4", "198.51.100.4", "https"),
        ("127.0.0.1", "198.51.100.9", "203.0.113.7", "198.51.100.9", None),
        ("*", "172.18.0.1", "203.0.113.7", "203.0.113.7", "https"),
        ("127.0.0.1", "127.0.0.1", "", "127.0.0.1", "https"),
        ("", "198.51.100.9", "203.0.113.7", "198.51.100.9", "https"),
    ],
)
def test_the_named_proxy_alone_says_who_asked(proxy, peer, said, address, scheme):
    environ = {"REMOTE_ADDR": peer, "HTTP_X_FORWARDED_FOR": said, "HTTP_X_FORWARDED_PROTO": "https"}
    seen = {}
    behind_proxy(lambda asked, start: seen.update(asked) or [], proxy)(environ, None)
    assert (seen["REMOTE_ADDR"], seen.get("HTTP_X_FORWARDED_PROTO")) == (address, scheme)


def test_the_web_server_serves_counts_over_its_processes_and_ends(tmp_path, named_database, upgraded):
    shutil.copytree(upgraded, tmp_path, dirs_exist_ok=True)
    port = free_port()
    more = {"NOTCHBOOK_BIND": f"127.0.0.1:{port}", "NOTCHBOOK_METRICS_TOKEN": "watcher", **named_database}
    done = subprocess.run(
        [sys.executable, "manage.py", "upgrade"], cwd=ROOT, env=environment(tmp_path, **more), capture_output=True,
        text=True, check=False,
    )  # fmt: skip
    assert "The installation is up to date." in done.stdout, done.stderr
    server = subprocess.Popen(
        [sys.executable, "-m", "gunicorn", "-c", "python:herd.config.deploy.webserver", "herd.config.wsgi"],
        cwd=ROOT, env=environment(tmp_path, **more), stderr=(tmp_path / "log").open("wb"),
    )  # fmt: skip
    try:
        ready = f"http://127.0.0.1:{port}/health/ready/"
        wait_until(lambda: fetch(ready) == (200, "ready\n"), "the server is ready")
        for _ in range(12):
            assert fetch(f"http://127.0.0.1:{port}/health/") == (200, "ok\n")
        assert counted(port) == 12
        assert end(server, signal.SIGTERM) == 0
    finally:
        server.kill()
        server.wait()


def counted(port: int) -> float:
    """How many times it was asked whether it lives, over all processes of the server."""
    asked = urllib.request.Request(
        f"http://127.0.0.1:{port}/health/metrics/", headers={"Authorization": "Bearer watcher"}
    )
    with urllib.request.urlopen(asked, timeout=10) as answer:
        lines = answer.read().decode().splitlines()
    name = 'notchbook_requests_total{method="GET",route="health/",status="200"}'
    return next(float(line.rsplit(" ", 1)[1]) for line in lines if line.startswith(name))
