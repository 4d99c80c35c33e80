"""A PostgreSQL server of a test's own, and how it goes: killed, cut off by a reset, or by a network that is silent."""

import os
import shutil
import socket
import subprocess
import tempfile
import threading
from contextlib import suppress
from pathlib import Path

from browsers import free_port
from lacking import need
from test_book_postgres import as_server_user

HOST = "127.0.0.1"


class Database:
    """A server in a folder of its own, listening on an address of this machine; `url` names its database.

    `lose` takes it away, `find` brings it back, `end` leaves nothing of it.
    """

    inside = ()
    """Command that runs another one where the server runs."""

    def __init__(self, host=HOST):
        found = sorted(Path("/usr/lib/postgresql").glob("*/bin"))
        need(found, "NO POSTGRESQL: apt-get install postgresql")
        self.folder = tempfile.mkdtemp(prefix="coreset-pg-", dir="/tmp")
        if os.geteuid() == 0:
            shutil.chown(self.folder, "postgres")
        self.host, self.tools, self.port = host, found[-1], free_port()
        self.url = self.address(self.port)
        self._run("initdb", "-D", f"{self.folder}/data", "-A", "trust", "-U", "postgres")
        with open(f"{self.folder}/data/pg_hba.conf", "a") as rules:
            rules.write("host all all samenet trust\n")
        self._start()

    def address(self, port):
        """URL of the database through a port."""
        return f"postgresql+psycopg://postgres@{self.host}:{port}/postgres"

    def _run(self, tool, *given):
        command = [*self.inside, *as_server_user([f"{self.tools}/{tool}", *given])]
        assert subprocess.run(command, cwd="/", stdout=subprocess.DEVNULL).returncode == 0

    def _start(self):
        options = f"-p {self.port} -k {self.folder} -c listen_addresses={self.host}"
        self._run("pg_ctl", "-D", f"{self.folder}/data", "-w", "-l", f"{self.folder}/log", "-o", options, "start")

    def _kill(self):
        self._run("pg_ctl", "-D", f"{self.folder}/data", "-m", "immediate", "stop")

    def lose(self):
        """End it at once, as a crash would: nothing is flushed."""
        self._kill()

    def find(self):
        """Start it again."""
        self._start()

    def end(self):
        """Leave nothing of it."""
        self._kill()
        shutil.rmtree(self.folder, ignore_errors=True)


class Reset(Database):
    """One behind a relay, which resets every connection and takes no new one while the way is cut."""

    def __init__(self):
        super().__init__()
        self.relay, self._open, self._threads = free_port(), [], []
        self.url = self.address(self.relay)
        self.find()

    def find(self):
        """Pass on what comes."""
        self._listener = socket.create_server((HOST, self.relay))
        self._begin(self._take, self._listener)

    def lose(self):
        """Cut every connection."""
        with suppress(OSError):
            self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()
        for one in self._open:
            with suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)  # closed alone it would live on as long as a thread reads from it
        for thread in self._threads:
            thread.join()
        for one in self._open:
            one.close()
        self._open, self._threads = [], []

    def end(self):
        """Leave nothing of it."""
        self.lose()
        super().end()

    def _begin(self, work, *of):
        self._threads.append(threading.Thread(target=work, args=of, daemon=True))
        self._threads[-1].start()

    def _take(self, listener):
        with suppress(OSError):
            while True:
                outer, _ = listener.accept()
                self._open.append(outer)
                self._open.append(inner := socket.create_connection((HOST, self.port)))
                self._begin(self._along, outer, inner)
                self._begin(self._along, inner, outer)

    @staticmethod
    def _along(reader, writer):
        with suppress(OSError):
            while piece := reader.recv(65_536):
                writer.sendall(piece)
        for one in (reader, writer):
            with suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)


class Silent(Database):
    """One on a network of its own, whose far end goes down: packets are lost, and nobody is told."""

    def __init__(self):
        self.name, number = f"cs{os.getpid()}", os.getpid() % 250
        near, far = f"10.213.{number}.1", f"10.213.{number}.2"
        self.inside = ("ip", "netns", "exec", self.name)
        link = f"link add {self.name}a type veth peer name {self.name}b netns {self.name}"
        own = f"addr add {near}/24 dev {self.name}a"
        for words in (f"netns add {self.name}", link, own, f"link set {self.name}a up"):
            self._ip(words)
        self._ip(f"addr add {far}/24 dev {self.name}b", self.inside)
        self._ip("link set lo up", self.inside)
        self.find()
        super().__init__(host=far)

    @staticmethod
    def may():
        """Whether this process may make one."""
        return bool(shutil.which("ip") and shutil.which("unshare")) and not subprocess.call(["unshare", "-n", "true"])

    def _ip(self, words, inside=()):
        subprocess.run([*inside, "ip", *words.split()], check=True)

    def find(self):
        """Bring the far end up again."""
        self._ip(f"link set {self.name}b up", self.inside)

    def lose(self):
        """Take the far end down."""
        self._ip(f"link set {self.name}b down", self.inside)

    def end(self):
        """Leave nothing of it."""
        super().end()
        self._ip(f"netns del {self.name}")  # its link goes with it
