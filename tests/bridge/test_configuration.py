"""The configuration is read whole, or every fault in it is named with line, key and value."""

import pytest

from herd.bridge.configuration import EXAMPLE, Misconfigured, read_configuration
from herd.bridge.joining import Where
from herd.bridge.lines import Line
from herd.bridge.patterns import Flag, understand
from herd.bridge.settings import Serial, Tcp
from tests.bridge.saying import KG

LEAST = 'store = "s.db"\nkeep = "k.db"\n[[ports]]\nname = "a"\nserial = "x"\npatterns = ["(?P<number>.+)"]\n'


@pytest.fixture
def read(tmp_path):
    def read(text):
        path = tmp_path / "bridge.toml"
        path.write_text(text, encoding="utf-8")
        return read_configuration(path)

    return read


def test_the_example_is_in_order_and_reads_its_own_lines():
    settings = read_configuration(EXAMPLE)
    reader, scale = settings.ports
    assert understand(Line("840 270000000123"), reader.words).number == "840270000000123"
    assert understand(Line("M 1180.5 lb"), scale.words).flags == {Flag.MOTION}
    assert understand(Line("OL"), scale.words).flags == {Flag.OVERLOAD}
    assert understand(Line("- 12 lb"), scale.words).flags == {Flag.NEGATIVE}
    assert settings.store == EXAMPLE.parent / "scale.db"


def test_little_is_enough(read, tmp_path):
    settings = read(LEAST)
    assert (settings.keep, settings.ports[0].line) == (tmp_path / "k.db", Serial("x"))
    assert settings.steady.spread == 2 * KG
    assert settings.joining.where is Where.AT
    assert settings.folder is None


def test_tcp_ports_call_or_wait(read):
    assert read(LEAST.replace('serial = "x"', 'connect = "scale.local:4001"')).ports[0].line == Tcp("scale.local", 4001)
    listening = read(LEAST.replace('serial = "x"', 'listen = "[::1]:4001"'))
    assert listening.ports[0].line == Tcp("::1", 4001, is_listening=True)


FAULTS = [
    ('keep = "k.db"', "keep = 7", "line 2: keep = 7: It must be a text in quotes."),
    ('keep = "k.db"\n', "", "keep: It has to be named."),
    ('name = "a"', 'name = "a"\nspeed = "fast"', "line 5: ports.speed = 'fast': It must be a number."),
    ('name = "a"', 'name = "a"\nspeed = true', "line 5: ports.speed = True: It must be a number."),
    ('name = "a"', 'name = "a"\nframing = "8X1"', "line 5: ports.framing = '8X1': It is data bits, parity"),
    ('name = "a"', 'name = "a"\nnmae = 1', "line 5: ports.nmae = 1: There is no such key here; there are connect,"),
    ('serial = "x"', "", "line 4: ports.name = 'a': A port has exactly one of serial, connect, listen."),
    ('serial = "x"', 'connect = "nowhere"', "line 5: ports.connect = 'nowhere': It is an address and a port"),
    ("(?P<number>.+)", "(?P<number>", "line 6: ports.patterns: '(?P<number>' is no regular expression"),
    ("(?P<number>.+)", "(?P<nummer>.+)", "needs groups called number, status, unit, weight, and no others."),
    ("(?P<number>.+)", "(?P<weight>.+)", "ports.unit: A pattern has a weight without a unit group"),
    ('store = "s.db"', 'store = "s.db"\nstore = "t.db"', "line 2: file: It is no TOML"),
    ("[[ports]]", '[joining]\nreader = "above"\n[[ports]]', "line 4: joining.reader = 'above': It must be one of at"),
    ("[[ports]]", "[steady]\nspread = -1\n[[ports]]", "line 4: steady.spread = -1: It must be from 0 to 5000."),
    ("[[ports]]", '[folder]\npath = "nowhere"\n[[ports]]', "line 4: folder.path = 'nowhere': There is no such folder."),
    ("[[ports]]", '[beep]\nport = "b"\nanswer = "x"\n[[ports]]', "line 4: beep.port = 'b': No port is called so"),
]


@pytest.mark.parametrize(("old", "new", "said"), FAULTS)
def test_each_fault_is_named_with_line_key_and_value(read, old, new, said):
    with pytest.raises(Misconfigured) as caught:
        read(LEAST.replace(old, new))
    assert said in str(caught.value)


def test_all_faults_are_told_at_once_with_the_lines_of_their_own_tables(read):
    second = '[[ports]]\nname = "a"\nserial = "y"\npatterns = [3]\n[ports.status]\nmotion = 1\n'
    with pytest.raises(Misconfigured) as caught:
        read(LEAST + second)
    told = str(caught.value).splitlines()
    assert [line.partition(": ")[0] for line in told] == [f"bridge.toml, line {line}" for line in (3, 10, 12)]
    assert "Two ports are called 'a'." in told[0]


def test_a_file_that_is_not_there_is_told(tmp_path):
    with pytest.raises(Misconfigured, match="It can't be read"):
        read_configuration(tmp_path / "none.toml")
