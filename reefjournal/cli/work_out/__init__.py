"""`reefjournal work-out`: one small command a question, usable with bare numbers or from the notes."""

from __future__ import annotations

import click


class Themes(click.Group):
    """The topics, loaded when one of them is asked for, so that other commands start without their formulas."""

    themes: dict[str, tuple[str, ...]] | None = None

    def load(self) -> dict[str, tuple[str, ...]]:
        """The names of the topics by theme, their commands made."""
        if self.themes is None:
            from reefjournal.cli.work_out import ammonia, installation, joinery, minerals, salt, water

            of = {
                "Ammonia and nitrogen": ammonia.TOPICS,
                "Water": water.TOPICS,
                "Salt": salt.TOPICS,
                "Alkalinity, calcium, magnesium": minerals.TOPICS,
                "Panels and lids": joinery.TOPICS,
                "Loads, levels, heat": installation.TOPICS,
            }
            for topic in (one for topics in of.values() for one in topics):
                self.add_command(topic.command())
            self.themes = {theme: tuple(topic.name for topic in topics) for theme, topics in of.items()}
        return self.themes

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """The names of all topics, by theme."""
        return [name for names in self.load().values() for name in names]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of a topic."""
        self.load()
        return super().get_command(ctx, cmd_name)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """The topics in the help, theme by theme."""
        for theme, names in self.load().items():
            with formatter.section(theme):
                formatter.write_dl([(name, self.commands[name].get_short_help_str(200)) for name in names])


@click.group("work-out", cls=Themes, subcommand_metavar="TOPIC ...")
def work_out() -> None:
    """Work out an amount: a dose, a water change, a salinity, a panel, a load.

    Give the numbers, or --notes PATH to have volume, readings and measures taken from your notes. A number may have
    a unit behind it ('76 US gal', 78F, 47.2in), and may be a range (1.9-2.1).
    """
