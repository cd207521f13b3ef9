"""Requirement files are read line by line, and a line in doubt counts as not met."""

import sys

import pytest

from herd.config.pins import are_installed, is_met, requirement_lines


def test_comments_go_and_included_files_come_in_place(tmp_path):
    (tmp_path / "base.txt").write_text("# why\n\nDjango==1.0  # pinned\n")
    (tmp_path / "dev.txt").write_text("-r base.txt\npytest==2.0\n")
    assert requirement_lines(tmp_path / "dev.txt") == ["Django==1.0", "pytest==2.0"]


@pytest.mark.parametrize(
    ("line", "met"),
    [
        ("no-such-package==1.0", False),
        ("pytest==0.0.1", False),
        (f"pytest=={pytest.__version__}", True),
        (f"pytest>={pytest.__version__}", False),
        ("--no-index", False),
        ('no-such-package==1.0; sys_platform == "elsewhere"', True),
        (f'no-such-package==1.0; sys_platform == "{sys.platform}"', False),
        ('no-such-package==1.0; python_version < "3"', False),
    ],
)
def test_only_the_pinned_version_meets_a_line(line, met):
    assert is_met(line) is met


def test_one_line_that_is_not_met_spoils_the_file(tmp_path):
    path = tmp_path / "base.txt"
    path.write_text(f"pytest=={pytest.__version__}\n")
    assert are_installed(path)
    path.write_text(f"pytest=={pytest.__version__}\nno-such-package==1.0\n")
    assert not are_installed(path)
