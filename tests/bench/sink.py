"""A quick mail server that takes everything and keeps nothing: `python -m tests.bench.sink`.

It prints its port. One thread a line, so that several workers are served side by side.
"""

import socketserver

HELLO = b"220 sink\r\n"
ANSWERS = {b"EHLO": b"250-sink\r\n250 SIZE\r\n", b"DATA": b"354 go\r\n", b"QUIT": b"221 bye\r\n"}


class Line(socketserver.StreamRequestHandler):
    def handle(self) -> None:
        self.wfile.write(HELLO)
        while said := self.rfile.readline():
            word = said[:4].upper()
            self.wfile.write(ANSWERS.get(word, b"250 OK\r\n"))
            if word == b"DATA":
                while self.rfile.readline() not in (b".\r\n", b""):
                    pass
                self.wfile.write(b"250 OK\r\n")
            if word == b"QUIT":
                return


def main() -> None:
    class Sink(socketserver.ThreadingTCPServer):
        daemon_threads = True

    with Sink(("127.0.0.1", 0), Line) as sink:
        print(sink.server_address[1], flush=True)
        sink.serve_forever()


if __name__ == "__main__":
    main()
