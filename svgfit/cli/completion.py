"""``svgfit completion``: how to switch on completion in a shell."""

from __future__ import annotations

import click

_LINES = {
    "bash": ("~/.bashrc", 'eval "$(_SVGFIT_COMPLETE=bash_source svgfit)"'),
    "zsh": ("~/.zshrc", 'eval "$(_SVGFIT_COMPLETE=zsh_source svgfit)"'),
    "fish": ("~/.config/fish/completions/svgfit.fish", "_SVGFIT_COMPLETE=fish_source svgfit | source"),
}


@click.command()
@click.argument("shell", type=click.Choice(list(_LINES)), required=False)
def command(shell: str | None) -> int:
    """Switch on completion of commands and options in a shell.

    With SHELL, prints the one line that does it; without, says for each shell where that line goes.
    """
    from svgfit.cli.console import say

    if shell is not None:
        say(_LINES[shell][1])
        return 0
    say("Put this line into the file, then open a new shell:")
    for name, (place, line) in _LINES.items():
        say(f"\n{name}, in {place}:\n    {line}")
    return 0
