"""Bringing an installation up to date does again only what has to be done again."""

from types import SimpleNamespace

from django.core.files.storage import FileSystemStorage

from herd.config import upgrade


def test_static_files_are_packed_again_only_where_one_of_them_changed(tmp_path, settings, monkeypatch):
    settings.STATIC_ROOT = tmp_path / "static"
    settings.STATIC_ROOT.mkdir()
    source = tmp_path / "ours.css"
    source.write_text("a {}")
    ours = SimpleNamespace(list=lambda ignored: [("ours.css", FileSystemStorage(tmp_path))])
    monkeypatch.setattr(upgrade, "get_finders", lambda: [ours])
    done = []
    monkeypatch.setattr(upgrade, "call_command", lambda *given, **named: done.append(given[0]))
    for text, times in (("a {}", 1), (None, 1), ("a { color: red }", 2), (None, 2)):
        if text:
            source.write_text(text)
        upgrade._collect_static()
        assert done == ["collectstatic"] * times
