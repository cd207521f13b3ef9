"""Ports are heard by serial line and by TCP, both ways, and opened again after every failure."""

import queue
import socket
import time

import pytest

from herd.bridge.ports import Listener
from herd.bridge.settings import Port, Serial, Tcp
from tests.bridge.saying import READER
from tests.bridge.wires import Wire
from tests.config.installation import free_port


class Heard:
    """A listener and what came from it."""

    def __init__(self, line):
        self.came = queue.Queue()
        self.listener = Listener(Port("reader", line, READER), self.came)
        self.listener.start()

    def until(self, holds, what):
        found, end = [], time.monotonic() + 15
        while time.monotonic() < end:
            try:
                found.append(self.came.get(timeout=0.2))
            except queue.Empty:
                continue
            if holds(found):
                return found
        raise AssertionError(f"never so: {what}; {found}")

    def state(self, word):
        return self.until(lambda found: word in found[-1].state, word)

    def bytes(self, wanted):
        return self.until(lambda found: b"".join(one.chunk for one in found) == wanted, wanted)


@pytest.fixture
def listen():
    made = []

    def make(line):
        made.append(Heard(line))
        return made[-1]

    yield make
    for one in made:
        one.listener.stop()


def test_a_serial_port_is_heard_answered_and_opened_again(tmp_path, listen):
    wire = Wire(tmp_path / "reader")
    heard = listen(Serial(str(wire.path), 9600, "8N1"))
    heard.state("open")
    wire.send(b"840270")
    wire.send(b"000000123\r\n")
    heard.bytes(b"840270000000123\r\n")
    heard.listener.answer(b"\x06")
    assert wire.heard(5) == b"\x06"
    wire.unplug()
    (*_, lost) = heard.until(lambda found: found[-1].is_lost, "the port is lost")
    assert "tried again" in lost.state
    heard.listener.answer(b"into nothing")
    wire.plug_in()
    heard.state("open")
    wire.send(b"456\r\n")
    heard.bytes(b"456\r\n")


def test_a_port_that_is_not_there_is_told_and_tried_again(tmp_path, listen):
    heard = listen(Serial(str(tmp_path / "none"), 9600, "7E1"))
    told = heard.until(lambda found: len(found) == 2, "tried twice")
    assert not any(one.is_lost for one in told)
    assert "No such file" in told[0].state


def test_an_address_is_called_again_after_it_hung_up(listen):
    with socket.create_server(("127.0.0.1", 0)) as server:
        heard = listen(Tcp("127.0.0.1", server.getsockname()[1]))
        for text in (b"first\n", b"second\n"):
            caller, _ = server.accept()
            heard.state("open")
            caller.sendall(text)
            heard.bytes(text)
            caller.close()
            heard.until(lambda found: found[-1].is_lost, "it hung up")


def test_a_caller_is_waited_for_and_the_next_one_too(listen):
    port = free_port()
    heard = listen(Tcp("127.0.0.1", port, is_listening=True))
    for text in (b"first\n", b"second\n"):
        heard.state("waits for a caller")
        with socket.create_connection(("127.0.0.1", port), timeout=5) as caller:
            heard.state("open")
            caller.sendall(text)
            heard.bytes(text)
            heard.listener.answer(b"\x06")
            assert caller.recv(1) == b"\x06"
        heard.until(lambda found: found[-1].is_lost, "it hung up")
