"""An empty database with the house's tables."""

from pathlib import Path

from tests.chain.deployment import Deployment


def migrated(database_url: str, folder: Path) -> None:
    place = folder / "migrating"
    place.mkdir(exist_ok=True)
    with Deployment(
        database_url=database_url, redis_url="redis://127.0.0.1:1/0", mail_port=25, folder=place
    ) as house:
        house.run("manage.py", "migrate", "--verbosity", "0")
