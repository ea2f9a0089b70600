"""What the commands that take a file for a site share: finding the site, and reading the file."""

from pathlib import Path

from django.core.management.base import CommandError

from plots.models import Site


def site_named(wanted: str) -> Site:
    """By its slug, else by its name."""
    sites = list(Site.objects.order_by("name"))
    found = [site for site in sites if site.slug == wanted]
    found = found or [site for site in sites if site.name.casefold() == wanted.casefold()]
    if len(found) == 1:
        return found[0]
    if not sites:
        raise CommandError("--site: there is no site yet; set up the society first.")
    problem = (
        f"--site: more than one site is called {wanted!r}"
        if found
        else f"--site: no site is called {wanted!r}"
    )
    listed = ", ".join(f"{site.slug} ({site.name})" for site in sites)
    raise CommandError(f"{problem}; use one of: {listed}")


def file_bytes(path: Path, *, most: int) -> bytes:
    """All of a file, of no more than so many bytes."""
    if path.is_dir():
        raise CommandError(f"FILE: {path} is a folder; name a file in it.")
    if not path.is_file():
        raise CommandError(f"FILE: there is no file {path}; check the spelling and the folder.")
    try:
        with path.open("rb") as stream:
            data = stream.read(most + 1)
    except OSError as error:
        raise CommandError(
            f"FILE: {path} cannot be read ({error.strerror}); check its permissions."
        ) from error
    if len(data) > most:
        raise CommandError(f"FILE: {path} is larger than {most // 1_000_000} MB; split it.")
    return data
