"""A small provider of identities on this machine: OpenID Connect's discovery, keys, authorization code and token.

After OpenID Connect Core 1.0, section 3.1, and Discovery 1.0, section 3; PKCE after RFC 7636.
"""

import base64
import hashlib
import secrets
import threading
import time
from html import escape
from urllib.parse import urlencode

import uvicorn
from browsers import free_port
from joserfc import jwt
from joserfc.jwk import RSAKey
from starlette.applications import Starlette
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse
from starlette.routing import Route

CLIENT, SECRET = "coreset-test", "between-the-test-and-its-provider"
ID_TOKEN_S = 300
USER = "_streamlit_user"
ROWS = ("ob7@plant.example,,OB7,observe", ",sub-ed2,ED2,edit", "ap1@plant.example,,AP1,sign")
SHARE = (
    "import sys; from coreset.cli import main; sys.exit(main(['app', '--port', sys.argv[1], '--share', "
    "'--sign-in', {sign_in!r}, '--roles', {roles!r}, '--host-name', '127.0.0.1']))"
)
"""The command that serves shared pages: with the port as its argument."""


class Provider:
    """Signs in whomever the form names; `claims` may be changed to try what a provider may say."""

    def __init__(self, redirect):
        self.port = free_port()
        self.issuer = f"http://127.0.0.1:{self.port}"
        self.redirect = redirect
        self.key = RSAKey.generate_key(2048, parameters={"kid": "k1", "use": "sig", "alg": "RS256"})
        self.signing = self.key
        self.claims = {}
        self.codes = {}
        self.left = []
        paths = {
            "/.well-known/openid-configuration": self.discovery,
            "/jwks": self.jwks,
            "/authorize": self.authorize,
            "/token": self.token,
            "/leave": self.leave,
        }
        app = Starlette(routes=[Route(path, end, methods=["GET", "POST"]) for path, end in paths.items()])
        self.server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=self.port, log_level="warning"))
        self.thread = threading.Thread(target=self.server.run, daemon=True)

    def start(self):
        """Begin to listen."""
        self.thread.start()
        while not self.server.started:
            time.sleep(0.02)
        return self

    def stop(self):
        """End."""
        self.server.should_exit = True
        self.thread.join()

    @property
    def metadata_url(self):
        """Where the discovery document stands."""
        return f"{self.issuer}/.well-known/openid-configuration"

    async def discovery(self, request):
        """What the provider can do."""
        return JSONResponse(
            {
                "issuer": self.issuer,
                "authorization_endpoint": f"{self.issuer}/authorize",
                "token_endpoint": f"{self.issuer}/token",
                "jwks_uri": f"{self.issuer}/jwks",
                "end_session_endpoint": f"{self.issuer}/leave",
                "response_types_supported": ["code"],
                "subject_types_supported": ["public"],
                "id_token_signing_alg_values_supported": ["RS256"],
                "code_challenge_methods_supported": ["S256"],
                "token_endpoint_auth_methods_supported": ["client_secret_basic"],
            }
        )

    async def jwks(self, request):
        """The public key."""
        return JSONResponse({"keys": [self.key.as_dict(private=False)]})

    async def authorize(self, request):
        """A form that asks who it is; posted, it sends the browser back with a code."""
        asked = request.query_params
        assert (asked["client_id"], asked["redirect_uri"]) == (CLIENT, self.redirect)
        assert asked["code_challenge_method"] == "S256"
        if request.method == "GET":
            field = "<input name=who aria-label=who><button>Go on</button>"
            return HTMLResponse(f"<form method=post action='?{escape(str(asked))}'>{field}</form>")
        who = (await request.body()).decode().partition("=")[2]
        code = secrets.token_urlsafe()
        self.codes[code] = {"who": who, "nonce": asked["nonce"], "challenge": asked["code_challenge"]}
        return RedirectResponse(f"{self.redirect}?{urlencode({'code': code, 'state': asked['state']})}", 303)

    async def token(self, request):
        """The signed identity for a code, once, to whoever began with the challenge."""
        form = dict(pair.split("=", 1) for pair in (await request.body()).decode().split("&"))
        known = base64.b64encode(f"{CLIENT}:{SECRET}".encode()).decode()
        given = request.headers["authorization"].removeprefix("Basic ")
        begun = self.codes.pop(form["code"], None)
        digest = hashlib.sha256(form["code_verifier"].encode()).digest()
        proof = base64.urlsafe_b64encode(digest).rstrip(b"=").decode()
        if begun is None or proof != begun["challenge"] or given != known:
            return JSONResponse({"error": "invalid_grant"}, 400)
        now = int(time.time())
        who = begun["who"]
        claims = {"iss": self.issuer, "aud": CLIENT, "sub": f"sub-{who}", "iat": now, "exp": now + ID_TOKEN_S}
        claims |= {"nonce": begun["nonce"], "email": f"{who}@plant.example", "email_verified": True} | self.claims
        token = jwt.encode({"alg": "RS256", "kid": "k1"}, claims, self.signing)
        return JSONResponse({"access_token": secrets.token_urlsafe(), "token_type": "Bearer", "id_token": token})

    async def leave(self, request):
        """The end of the session at the provider."""
        self.left.append(dict(request.query_params))
        return HTMLResponse("<h1>You have left</h1>")


def sign_in_file(folder, provider, **changes):
    """The file of the sign-in at that provider; a change to None takes a key out."""
    known = {
        "redirect_uri": provider.redirect,
        "cookie_secret": "0123456789abcdef0123456789abcdef",
        "client_id": CLIENT,
        "client_secret": SECRET,
        "server_metadata_url": provider.metadata_url,
    }
    lines = [f'{name} = "{value}"' for name, value in (known | changes).items() if value is not None]
    path = folder / "sign-in.toml"
    path.write_text("\n".join(["[auth]", *lines, ""]), encoding="utf-8")
    path.chmod(0o600)
    return path


def roles_file(folder, *rows):
    """A list of people."""
    path = folder / "roles.csv"
    path.write_text("\n".join(["email,subject,code,role", *rows, ""]), encoding="utf-8")
    return path
