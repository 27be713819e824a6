"""`reefjournal help`: the journal language on one page, and the help of each command."""

from __future__ import annotations

import click


@click.command("help")
@click.argument("topic", required=False)
@click.pass_context
def help_(ctx: click.Context, topic: str | None) -> None:
    """Explain a TOPIC: `language` (how notes are written), or a command."""
    group = ctx.parent.command if ctx.parent else None
    if topic == "language":
        from importlib.resources import files

        click.echo(files("reefjournal.journal").joinpath("guide.md").read_text(encoding="utf-8").rstrip())
        return
    if not isinstance(group, click.Group) or ctx.parent is None:
        return
    if topic is None:
        click.echo(group.get_help(ctx.parent))
    elif topic in group.commands:
        command = group.commands[topic]
        with click.Context(command, info_name=topic, parent=ctx.parent) as inner:
            click.echo(command.get_help(inner))
    else:
        topics = ", ".join(["language", *sorted(group.commands)])
        raise click.BadParameter(f"there is no help on {topic!r}; there is on: {topics}", param_hint="TOPIC")
