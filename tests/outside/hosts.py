#!/usr/bin/env python3
"""The rules for servers that guide/recipes.md gives, in those servers.

Takes each rule out of the guide, puts folder and port of this run in its place, lets nginx, Apache and Caddy serve a
small folder by it, and asks for files as a browser does. What a path has to be answered with is the table of the guide;
media types are those of the registry of IANA (and what WHATWG MIME Sniffing counts as the same)."""

import http.client
import pathlib
import re
import shutil
import socket
import subprocess
import sys
import tempfile
import time

GUIDE = pathlib.Path(__file__).resolve().parents[2] / "guide/recipes.md"
KEPT, ASKED = "public, max-age=31536000, immutable", "no-cache"
TYPES = {
    "html": ["text/html"],
    "css": ["text/css"],
    "js": ["text/javascript", "application/javascript"],
    "json": ["application/json"],
    "jsonld": ["application/ld+json"],
    "webmanifest": ["application/manifest+json"],
    "xml": ["application/xml", "text/xml"],
    "txt": ["text/plain"],
    "csv": ["text/csv"],
    "vtt": ["text/vtt"],
    "svg": ["image/svg+xml"],
    "png": ["image/png"],
    "jpg": ["image/jpeg"],
    "webp": ["image/webp"],
    "woff2": ["font/woff2"],
    "mp3": ["audio/mpeg"],
    "m4a": ["audio/mp4", "audio/x-m4a"],
    "ogg": ["audio/ogg"],
    "opus": ["audio/ogg", "audio/opus"],
    "wav": ["audio/wav", "audio/x-wav", "audio/vnd.wave"],
    "mp4": ["video/mp4"],
    "webm": ["video/webm", "audio/webm"],
    "glb": ["model/gltf-binary"],
}


def rule(language):
    found = re.findall(rf"```{language}\n(.*?)```", GUIDE.read_text(), re.S)
    assert len(found) == 1, f"the guide has {len(found)} rules for {language}"
    return found[0]


def put(text, old, new):
    assert old in text, f"the rule no longer says {old!r}"
    return text.replace(old, new)


def nginx(work, site, port):
    own = put(put(rule("nginx"), "listen 80;", f"listen 127.0.0.1:{port};"), "/srv/display", str(site))
    temporary = "\n".join(
        f"{kind}_temp_path {work}/{kind};" for kind in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    (work / "nginx.conf").write_text(
        f"daemon off; pid {work}/pid; error_log stderr;\nevents {{}}\nhttp {{ access_log off; {temporary}\n{own} }}\n"
    )
    return ["nginx", "-e", "stderr", "-p", str(work), "-c", str(work / "nginx.conf")]


def apache(work, site, port):
    (site / ".htaccess").write_text(rule("apache"))
    modules = pathlib.Path("/usr/lib/apache2/modules")
    wanted = ["mpm_event", "authz_core", "dir", "mime", "headers", "setenvif"]
    load = "\n".join(f"LoadModule {name}_module {modules}/mod_{name}.so" for name in wanted)
    (work / "apache.conf").write_text(
        f"ServerRoot {work}\nServerName localhost\nListen 127.0.0.1:{port}\n{load}\nPidFile {work}/pid\n"
        f"ErrorLog /dev/stderr\nTypesConfig /etc/mime.types\nDirectoryIndex index.html\nDocumentRoot {site}\n"
        f"<Directory {site}>\nAllowOverride All\nRequire all granted\n</Directory>\n"
    )
    return ["apache2", "-f", str(work / "apache.conf"), "-DFOREGROUND"]


def caddy(work, site, port):
    own = put(put(rule("caddy"), "replicas.example", f"http://127.0.0.1:{port}"), "/srv/display", str(site))
    (work / "Caddyfile").write_text("{\n\tadmin off\n}\n" + own)
    return ["caddy", "run", "--config", str(work / "Caddyfile"), "--adapter", "caddyfile"]


def asked(port, path, headers=None):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    connection.request("GET", path, headers=headers or {})
    answer = connection.getresponse()
    answer.read()
    return answer


def one(answer, name):
    """The value of a header that may be there once."""
    values = answer.headers.get_all(name) or []
    assert len(values) == 1, f"{name}: {values}"
    return values[0]


def judge(port):
    for path, cache in (("/", ASKED), ("/offline.js", ASKED), ("/store/data/", ASKED)):
        answer = asked(port, path)
        assert answer.status == 200, (path, answer.status)
        assert one(answer, "Cache-Control") == cache, (path, one(answer, "Cache-Control"))
        assert one(answer, "X-Content-Type-Options") == "nosniff", path
        assert "frame-ancestors 'none'" in one(answer, "Content-Security-Policy"), path
        # Asked for again, it is not sent again.
        again = asked(port, path, {"If-Modified-Since": one(answer, "Last-Modified")})
        assert again.status == 304, (path, again.status)
    wrong = []
    for ending, types in TYPES.items():
        answer = asked(port, f"/assets/one.0123456789abcdef.{ending}")
        assert answer.status == 200, (ending, answer.status)
        assert one(answer, "Cache-Control") == KEPT, (ending, one(answer, "Cache-Control"))
        assert one(answer, "X-Content-Type-Options") == "nosniff", ending
        told = answer.headers.get("Content-Type", "nothing").split(";")[0].strip()
        if told not in types:
            wrong.append(f".{ending} is served as {told}, not as {types[0]}")
    assert not wrong, "; ".join(wrong)


def main():
    failed = []
    for server in (nginx, apache, caddy):
        with tempfile.TemporaryDirectory() as folder:
            work = pathlib.Path(folder)
            # Whoever serves may be another than who wrote.
            work.chmod(0o755)
            site = work / "display"
            for path in ["index.html", "offline.js", "store/data/index.html"] + [
                f"assets/one.0123456789abcdef.{ending}" for ending in TYPES
            ]:
                (site / path).parent.mkdir(parents=True, exist_ok=True)
                (site / path).write_text("something\n")
            with socket.socket() as free:
                free.bind(("127.0.0.1", 0))
                port = free.getsockname()[1]
            command = server(work, site, port)
            assert shutil.which(command[0]), f"{command[0]} is missing"
            log = open(work / "log", "w+")
            running = subprocess.Popen(command, stdout=log, stderr=log, env={"HOME": folder, "PATH": "/usr/sbin:/usr/bin:/sbin:/bin"})
            try:
                for _ in range(100):
                    try:
                        socket.create_connection(("127.0.0.1", port), 1).close()
                        break
                    except OSError:
                        time.sleep(0.1)
                judge(port)
                print(f"{server.__name__}: {len(TYPES)} media types, what is kept and what is asked for as the guide says")
            except (AssertionError, OSError) as error:
                failed.append(server.__name__)
                log.seek(0)
                print(f"{server.__name__}: {error}\n{log.read()[-1500:]}")
            finally:
                running.terminate()
                running.wait(20)
    sys.exit(1 if failed else 0)


main()
