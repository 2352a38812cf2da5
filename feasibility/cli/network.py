"""Write the assessed network for whoever goes on with it."""

from __future__ import annotations

import click

from feasibility.cli.common import (
    CannotDo,
    assessed,
    exit_with,
    load,
    path_of,
    refuse_to_replace_other_than_network,
    say_verdict,
)


@click.command()
@click.argument("survey")
@click.option(
    "--output",
    metavar="JSON",
    help="Where the network goes; without it, beside the survey with the suffix .network.json.",
)
def network(survey: str, output: str | None) -> None:
    """Assess the SURVEY file and write its network as a file of pandapower.

    It holds the state at the requested current and says under 'about' on which assumptions. An
    older network in the same place is replaced; any other file never is.
    """
    survey_path = path_of(survey)
    loaded = load(survey_path)
    place = survey_path.with_suffix(".network.json") if output is None else path_of(output)
    refuse_to_replace_other_than_network(place)
    assessment = assessed(loaded)
    from feasibility.network_file import NoNetwork, network_file
    from feasibility.render.numbers import message_text
    from feasibility.render.plain_lines import escaped
    from feasibility.write_file import write_atomically

    try:
        content = network_file(assessment)
    except NoNetwork as none:
        message = f"{survey} gives no network: {escaped(message_text(none.reason))}"
        raise CannotDo(message) from none
    write_atomically(place, content)
    click.echo(f"Network: {place}")
    say_verdict(assessment)
    exit_with(assessment)
