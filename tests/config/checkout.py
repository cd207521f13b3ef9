"""A small checkout to set up: the real manage.py, and requirements that are found without a network."""

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
OURS = ["manage.py", "herd/__init__.py", "herd/config/__init__.py", "herd/config/bootstrap.py",
        "herd/config/locks.py", "herd/config/pins.py"]  # fmt: skip

# Stands where Django would: shows which interpreter, which release and which arguments manage.py ended with.
SHOW = """
import sys

def execute_from_command_line(arguments):
    print("|".join([sys.prefix, RELEASE, *arguments[1:]]))
    sys.exit(7 if "fail" in arguments else 0)
"""


def make_checkout(folder: Path) -> Path:
    """Copy manage.py and what it needs into the folder, with requirements at release 1.0."""
    for name in OURS:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / name, folder / name)
    (folder / "requirements" / "wheels").mkdir(parents=True)
    for release in ("1.0", "2.0"):
        make_wheel(folder / "requirements" / "wheels", release)
    (folder / "requirements" / "dev.txt").write_text("-r base.txt\n")
    require(folder, "1.0")
    return folder


def require(folder: Path, release: str) -> None:
    """Pin the only requirement to a release."""
    text = f"--no-index\n--find-links wheels\nDjango=={release}\n"
    (folder / "requirements" / "base.txt").write_text(text)


def make_wheel(folder: Path, release: str) -> None:
    """Write a wheel by the binary distribution format of PyPA (PEP 427)."""
    about = f"Django-{release}.dist-info"
    files = {
        "django/__init__.py": "",
        "django/core/__init__.py": "",
        "django/core/management/__init__.py": f"RELEASE = {release!r}\n{SHOW}",
        f"{about}/METADATA": f"Metadata-Version: 2.1\nName: Django\nVersion: {release}\n",
        f"{about}/WHEEL": "Wheel-Version: 1.0\nGenerator: tests\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
    }
    record = f"{about}/RECORD"
    files[record] = "".join(f"{name},,\n" for name in [*files, record])
    with zipfile.ZipFile(folder / f"Django-{release}-py3-none-any.whl", "w") as wheel:
        for name, text in files.items():
            wheel.writestr(name, text)


def plain_python() -> str:
    """Return the interpreter below the one that runs the tests, where nothing is installed."""
    return getattr(sys, "_base_executable", sys.executable)


def begin(folder: Path, *arguments: str, python: str = "") -> subprocess.Popen[str]:
    """Start manage.py of the checkout from another folder."""
    dropped = {"CI", "PIP_FIND_LINKS", "DJANGO_SETTINGS_MODULE", "NOTCHBOOK_VAR", "PYTHONPATH"}
    return subprocess.Popen(
        [python or plain_python(), str(folder / "manage.py"), *arguments],
        cwd=folder.anchor,
        env={name: value for name, value in os.environ.items() if name not in dropped},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def run(folder: Path, *arguments: str, python: str = "") -> tuple[int, str, str]:
    """Run manage.py of the checkout; returns exit code, standard output, standard error."""
    process = begin(folder, *arguments, python=python)
    output, errors = process.communicate(timeout=120)
    return process.returncode, output.strip(), errors
