"""The steps from any older form of the tables to today's."""

from alembic.command import upgrade
from alembic.config import Config
from sqlalchemy import Connection


def steps() -> Config:
    """Alembic's view of our steps, which are part of the package."""
    config = Config()
    config.set_main_option("script_location", "matbook.store:migrations")
    return config


def migrate(connection: Connection) -> None:
    """Take the tables to today's form within the caller's transaction."""
    config = steps()
    config.attributes["connection"] = connection
    upgrade(config, "head")
