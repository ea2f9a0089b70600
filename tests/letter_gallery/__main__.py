"""Lay the invented society out in a folder of its own, write the letters, and take their pictures."""

import os
import sys
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

TODAY = "2027-04-24"
NOW = datetime(2027, 4, 24, 13, 30, tzinfo=UTC)  # half past two in London: day notes have been gathered


def main(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory() as data:
        os.environ |= {"COMMONROW_DATA": data, "DJANGO_SETTINGS_MODULE": "society.config.settings"}
        import django

        django.setup()
        from django.conf import settings
        from django.core.management import call_command

        call_command("demo", today=TODAY, no_serve=True, json=True)
        settings.PRETEND_TODAY, settings.FORECAST_CONTACT = "", "gallery@sallowbend.example"

        from tests.letter_gallery.cases import letters, paper
        from tests.letter_gallery.pictures import pictures_take, print_take

        for name, message in letters(NOW):
            html = message.alternatives[0].content
            heads = [f"{head}: {said}" for head, said in message.message().items() if head != "MIME-Version"]
            (folder / f"{name}.txt").write_text("\n".join([*heads, "", str(message.body)]))
            (folder / f"{name}.html").write_text(str(html))
        page = paper(NOW)
    pictures_take(folder)
    print_take(page, folder / "paper.pdf")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("usage: python -m tests.letter_gallery FOLDER")
    main(Path(sys.argv[1]))
