#!/usr/bin/env python3
"""browser_drive.py BROWSER forced PAGE light|dark: opens a page with forced colours, as a reader with a palette of his own has
them, waits until it has written <pre id="findings">, and prints what stands there.
browser_drive.py BROWSER print: for each line PAGE PDF of standard input the page printed to that file, in one run of the browser;
a line PDF: MESSAGE for each message of the page on its console.
The browser is told by its own remote protocol; the few lines of a WebSocket (RFC 6455) that this takes stand here."""
import base64
import json
import os
import re
import shutil
import socket
import struct
import subprocess
import sys
import tempfile
import time
import urllib.request


class Wire:
    """Texts to the browser and back; only what the protocol needs: whole texts, no extension."""

    def __init__(self, url):
        host, port, path = re.match(r"ws://([^:/]+):(\d+)(/.*)", url).groups()
        self.socket = socket.create_connection((host, int(port)), timeout=600)
        self.rest = b""
        self.count = 0
        self.events = []
        key = base64.b64encode(os.urandom(16)).decode()
        self.socket.sendall((f"GET {path} HTTP/1.1\r\nHost: {host}:{port}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
                             f"Sec-WebSocket-Key: {key}\r\nSec-WebSocket-Version: 13\r\n\r\n").encode())
        while b"\r\n\r\n" not in self.rest:
            self.rest += self.socket.recv(65536)
        self.rest = self.rest.split(b"\r\n\r\n", 1)[1]

    def take(self, length):
        while len(self.rest) < length:
            more = self.socket.recv(1 << 20)
            if not more:
                raise EOFError("the browser hung up")
            self.rest += more
        out, self.rest = self.rest[:length], self.rest[length:]
        return out

    def receive(self):
        out = b""
        while True:
            first, second = self.take(2)
            length = second & 127
            if length == 126:
                length = struct.unpack(">H", self.take(2))[0]
            elif length == 127:
                length = struct.unpack(">Q", self.take(8))[0]
            out += self.take(length)
            if first & 128:
                return json.loads(out)

    def call(self, method, **params):
        self.count += 1
        data = json.dumps({"id": self.count, "method": method, "params": params}).encode()
        size = bytes([128 | len(data)]) if len(data) < 126 else bytes([254]) + struct.pack(">H", len(data))
        mask = os.urandom(4)
        self.socket.sendall(b"\x81" + size + mask + bytes(x ^ mask[i & 3] for i, x in enumerate(data)))
        while True:
            answer = self.receive()
            if answer.get("id") == self.count:
                return answer["result"]
            self.events.append(answer)


def forced(wire, page, scheme):
    wire.call("Emulation.setEmulatedMedia", media="", features=[{"name": "forced-colors", "value": "active"},
                                                                  {"name": "prefers-color-scheme", "value": scheme}])
    wire.call("Page.navigate", url="file://" + os.path.abspath(page))
    for _ in range(6000):
        found = wire.call("Runtime.evaluate", returnByValue=True,
                          expression="(document.getElementById('findings') || {}).textContent || ''")
        if found["result"].get("value"):
            print(found["result"]["value"], end="")
            return 0
        time.sleep(0.1)
    return 1


def print_all(wire):
    for event in ("Page", "Runtime", "Log"):
        wire.call(event + ".enable")
    for line in sys.stdin:
        page, pdf = line.split()
        wire.events.clear()
        url = "file://" + os.path.abspath(page)
        wire.call("Page.navigate", url=url)
        for _ in range(600):
            at = wire.call("Runtime.evaluate", expression="document.readyState + location.href")["result"]["value"]
            if at == "complete" + url:
                break
            time.sleep(0.02)
        printed = wire.call("Page.printToPDF", preferCSSPageSize=True)
        with open(pdf, "wb") as out:
            out.write(base64.b64decode(printed["data"]))
        for event in wire.events:
            if event.get("method") == "Log.entryAdded":
                print(f"{pdf}: {event['params']['entry']['text']}")
            if event.get("method") == "Runtime.consoleAPICalled":
                print(f"{pdf}: {event['params']['args'][0].get('value')}")
    return 0


def main():
    browser, what, *rest = sys.argv[1:]
    profile = tempfile.mkdtemp()
    started = subprocess.Popen([browser, "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
                                "--disable-background-networking", "--disable-component-update", "--disable-sync",
                                "--remote-debugging-port=0", "--window-size=1400,1000", "--user-data-dir=" + profile,
                                "about:blank"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        port = os.path.join(profile, "DevToolsActivePort")
        for _ in range(600):
            if os.path.exists(port) and open(port).read().count("\n"):
                break
            time.sleep(0.1)
        tabs = json.load(urllib.request.urlopen(f"http://127.0.0.1:{open(port).readline().strip()}/json"))
        wire = Wire(next(tab for tab in tabs if tab["type"] == "page")["webSocketDebuggerUrl"])
        return forced(wire, *rest) if what == "forced" else print_all(wire)
    finally:
        started.terminate()
        started.wait()
        shutil.rmtree(profile, ignore_errors=True)


if __name__ == "__main__":
    sys.exit(main())
