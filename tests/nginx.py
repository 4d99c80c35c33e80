"""A public reverse proxy before one server or several: NGINX (open source, BSD licence), where it is installed."""

import shutil
import socket
import subprocess
import time
from contextlib import suppress

HOST = "127.0.0.1"
CONFIGURATION = """daemon off; pid {folder}/nginx.pid; error_log {folder}/nginx.log;
events {{}}
http {{
  access_log off;
  client_body_temp_path {folder}/body; proxy_temp_path {folder}/proxy; fastcgi_temp_path {folder}/fastcgi;
  uwsgi_temp_path {folder}/uwsgi; scgi_temp_path {folder}/scgi;
  map $http_upgrade $connection_upgrade {{ default upgrade; '' close; }}
  upstream pages {{ {upstream} }}
  server {{
    listen {host}:{port}{tls};
    client_max_body_size 0; proxy_request_buffering off; proxy_buffering off; proxy_read_timeout 1h;
    location / {{
      proxy_pass http://pages;
      proxy_http_version 1.1;
      proxy_set_header Host $http_host;
      proxy_set_header Upgrade $http_upgrade;
      proxy_set_header Connection $connection_upgrade;
      proxy_set_header X-Forwarded-For $remote_addr;
      proxy_set_header X-Forwarded-Proto $scheme;
    }}
  }}
}}
"""
"""What the start of shared pages and docs/operations.md ask of a proxy."""
TLS = """ ssl;
    ssl_certificate {pem}; ssl_certificate_key {pem};
    add_header Strict-Transport-Security "max-age=31536000" always"""


class Nginx:
    """One that listens on this machine.

    Parameters
    ----------
    folder : Path
        Its configuration, log and temporary files; each has a folder of its own.
    port : int
        Where it listens.
    servers : sequence of int
        Ports of the servers behind it.
    sticky : bool
        Whether one browser stays with one server; else requests go to each in turn.
    pem : Path, optional
        Key and certificate, to speak TLS.
    """

    def __init__(self, folder, port, servers, *, sticky=False, pem=None):
        self.url, self.port = f"{'https' if pem else 'http'}://{HOST}:{port}", port
        self._file = folder / "nginx.conf"
        members = [f"server {HOST}:{server} max_fails=0;" for server in servers]
        named = {"folder": folder, "host": HOST, "port": port, "tls": TLS.format(pem=pem) if pem else ""}
        text = CONFIGURATION.format(upstream=" ".join([*["ip_hash;"][: int(sticky)], *members]), **named)
        self._file.write_text(text, encoding="utf-8")

    @staticmethod
    def there():
        """Whether it is installed."""
        return bool(shutil.which("nginx"))

    def start(self):
        """Begin to listen."""
        run = ["nginx", "-c", str(self._file), "-p", str(self._file.parent)]
        self._process = subprocess.Popen(run, stderr=subprocess.DEVNULL)
        for _ in range(600):
            with suppress(OSError), socket.create_connection((HOST, self.port), 1):
                return self
            time.sleep(0.1)
        raise AssertionError("the proxy did not start")

    def stop(self):
        """End."""
        self._process.terminate()
        self._process.wait()
