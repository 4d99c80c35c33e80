"""What stands before shared pages: TLS to the browser, plain to a server on this machine; our own, and a public one."""

import asyncio
import datetime
import ssl
import threading
from ipaddress import ip_address

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID
from nginx import HOST, Nginx


def certificate(folder):
    """A key and a certificate of this machine, signed by itself, good for a day; their file."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, HOST)])
    now = datetime.datetime.now(datetime.UTC)
    made = x509.CertificateBuilder(
        issuer_name=name, subject_name=name, public_key=key.public_key(), serial_number=x509.random_serial_number(),
        not_valid_before=now - datetime.timedelta(hours=1), not_valid_after=now + datetime.timedelta(days=1),
        extensions=[x509.Extension(x509.SubjectAlternativeName.oid, False,
                                   x509.SubjectAlternativeName([x509.IPAddress(ip_address(HOST))]))],
    ).sign(key, hashes.SHA256())  # fmt: skip
    file = folder / "tls.pem"
    plain = serialization.NoEncryption()
    private = key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, plain)
    file.write_bytes(private + made.public_bytes(serialization.Encoding.PEM))
    return file


class Forwarder:
    """TLS on one port, passed on to another as it comes; `versions` are what the browsers spoke."""

    too_large = ("413",)

    def __init__(self, folder, port, to):
        self.url, self.versions = f"https://{HOST}:{port}", set()
        self.context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        self.context.load_cert_chain(certificate(folder))
        self.port, self.to, self.listening = port, to, threading.Event()
        self.thread = threading.Thread(target=lambda: asyncio.run(self._serve()), daemon=True)

    def start(self):
        """Begin to listen."""
        self.thread.start()
        assert self.listening.wait(10)
        return self

    def stop(self):
        """End; what is still open is cut."""
        self.loop.call_soon_threadsafe(self.ended.set)
        self.thread.join()

    async def _serve(self):
        self.loop, self.ended = asyncio.get_running_loop(), asyncio.Event()
        async with await asyncio.start_server(self._both, HOST, self.port, ssl=self.context):
            self.listening.set()
            await self.ended.wait()
            others = asyncio.all_tasks() - {asyncio.current_task()}
            for task in others:
                task.cancel()
            await asyncio.gather(*others, return_exceptions=True)
            await asyncio.sleep(0.2)  # what was cut closes its sockets

    async def _both(self, reader, writer):
        self.versions.add(writer.get_extra_info("ssl_object").version())
        inner, outer = await asyncio.open_connection(HOST, self.to)
        try:
            await asyncio.gather(self._along(reader, outer), self._along(inner, writer), return_exceptions=True)
        finally:
            outer.close()
            writer.close()

    @staticmethod
    async def _along(reader, writer):
        try:
            while piece := await reader.read(65_536):
                writer.write(piece)
                await writer.drain()
        finally:
            writer.close()


class Public(Nginx):
    """The same as `Forwarder` by a reverse proxy that is installed here; it does not tell what the browsers spoke."""

    too_large = ("413", "502")
    """Its word for a server that answered and hung up before the body was sent is 502."""

    def __init__(self, folder, port, to):
        self.versions = set()
        super().__init__(folder, port, [to], pem=certificate(folder))
