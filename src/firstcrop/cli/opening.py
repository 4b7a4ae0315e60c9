"""`firstcrop open`: a folder of sheets in the browser."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("open")
@click.argument("folder", default=".", type=click.Path(exists=True, file_okay=False))
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="Address to bind. Any but this machine's own loopback asks for a token.",
)
@click.option(
    "--port", type=click.IntRange(0, 65535), default=0, help="Port; a free one if left out."
)
@click.option("--token", default="", help="Token to ask for; made up when one is needed.")
@click.option("--no-browser", is_flag=True, help="Only say where the page is.")
def open_folder(folder: str, host: str, port: int, token: str, no_browser: bool) -> int:
    """Open FOLDER in the browser: write sheets and see the forecast as you type."""
    from firstcrop.cli import asking
    from firstcrop.server.serve import serve

    problem = serve(Path(folder).resolve(), host, port, token, not no_browser)
    return asking.complain(problem) if problem else 0
