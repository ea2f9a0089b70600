"""How far the demo is, on standard error: a bar on a terminal, plain lines elsewhere."""

from typing import TextIO

WIDTH = 30


class Progress:
    """Steps of known share; a silent one says nothing at all."""

    def __init__(self, stream: TextIO, *, is_silent: bool = False) -> None:
        self.stream = stream
        self.is_silent = is_silent
        self.is_bar = not is_silent and stream.isatty()
        self._begun = self._ends = 0.0
        self._text = ""
        self._shown = -1

    def step(self, text: str, *, until: float) -> None:
        """Begin a step that takes the whole from where it stands to a share of 1."""
        self._begun, self._ends, self._text, self._shown = self._ends, until, text, -1
        if self.is_bar:
            self.part(0.0)
        elif not self.is_silent:
            self.stream.write(f"{text} ...\n")
            self.stream.flush()

    def part(self, share: float) -> None:
        """Say how much of the present step is done."""
        percent = round(100 * (self._begun + share * (self._ends - self._begun)))
        if not self.is_bar or percent == self._shown:
            return
        self._shown = percent
        full = percent * WIDTH // 100
        bar = "#" * full + "." * (WIDTH - full)
        self.stream.write(f"\r[{bar}] {percent:3d} %  {self._text:<40}")
        self.stream.flush()

    def end(self) -> None:
        """Take the bar away."""
        if self.is_bar:
            self.stream.write("\r" + " " * (WIDTH + 50) + "\r")
            self.stream.flush()
