"""Print the tables that the figures come from."""

from __future__ import annotations

import click


@click.command()
@click.argument("name", required=False)
@click.option(
    "--confirmation",
    is_flag=True,
    help="Show what confirms each ampacity, and the rows of every table.",
)
def tables(name: str | None, confirmation: bool) -> None:
    """List the tables, or print the table NAME with its sources to lay it beside the standard."""
    from feasibility.render.table_text import confirmation_text, table_list_text, table_page_text
    from feasibility.table_review import confirmed_ampacities, table_lines, table_page

    lines = table_lines()
    if confirmation and name is not None:
        message = "give either a table's NAME or --confirmation, which covers all of them"
        raise click.UsageError(message)
    if confirmation:
        click.echo(confirmation_text(confirmed_ampacities(), lines))
    elif name is None:
        click.echo(table_list_text(lines))
    else:
        names = [line.name for line in lines]
        if name not in names:
            message = f"there is no table {name!r}; there are: {', '.join(names)}"
            raise click.BadParameter(message, param_hint="NAME")
        click.echo(table_page_text(table_page(name)))
