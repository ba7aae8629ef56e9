"""`glint live`: the page one touches."""

from __future__ import annotations

from pathlib import Path
from threading import Thread

import click

from glint.errors import printable


@click.command()
@click.argument("scene", type=click.Path(path_type=Path), required=False)
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    help="The port to listen on; without it 8740, or any that is free.",
)
@click.option(
    "--lan", is_flag=True, help="Let other machines of the local network in, with the same address."
)
@click.option("--no-browser", is_flag=True, help="Do not open a browser.")
def live(scene: Path | None, port: int | None, lan: bool, no_browser: bool) -> None:
    """Open SCENE, or a first one, as a page on which everything can be changed and seen at once.

    The page's address is printed, with a token that lets in whoever has it. The page writes into
    the folder of SCENE, or else into the current one, and nowhere else. Ctrl-C ends it.

    Example: glint live scenes/lantern.toml
    """
    from glint.live.server.run import Address, serve
    from glint.live.start import studio_of
    from glint.render.warm_up import compile_ahead

    studio = studio_of(scene)
    if studio.session.journal.trouble:
        _say(studio.session.journal.trouble)
    compile_ahead()

    def ready(found: Address) -> None:
        click.echo(found.address)
        if lan:
            _say("every machine of the local network can reach this page, with the token only:")
            for address in found.others:
                _say(f"  {address}")
        if not no_browser:
            import webbrowser

            # A browser that runs in the terminal would keep the server from serving it.
            Thread(target=webbrowser.open, args=(found.address,), daemon=True).start()

    serve(studio, port, lan, ready)
    studio.session.journal.end()


def _say(line: str) -> None:
    click.echo(f"glint: {printable(line)}", err=True)
