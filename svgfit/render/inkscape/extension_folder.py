"""Where Inkscape looks for a person's own extensions."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Mapping

from svgfit.model.refusal import Refusal

_PATIENCE = 30.0
"""Seconds that Inkscape may take to answer."""
_PROGRAMS = {
    "darwin": ("/Applications/Inkscape.app/Contents/MacOS/inkscape",),
    "win32": (r"C:\Program Files\Inkscape\bin\inkscape.com", r"C:\Program Files\Inkscape\bin\inkscape.exe"),
}
"""Where its installers put it, if it is not on PATH (from memory)."""


def extensions_folder(environment: Mapping[str, str] = os.environ, platform: str = sys.platform) -> str:
    """Find the folder of a person's extensions: as Inkscape says, else the usual one if Inkscape has made it.

    Raises Refusal where neither is there.
    """
    profile = _asked(environment, platform)
    if profile is None:
        usual = usual_profile(environment, platform)
        profile = usual if usual is not None and os.path.isdir(usual) else None
    if profile is None:
        todo = "install it and start it once; or give its folder of extensions: --to FOLDER (in Inkscape: Edit, "
        raise Refusal("", "Inkscape can't be found", f"{todo}Preferences, System, User extensions)")
    return os.path.join(profile, "extensions")


def usual_profile(environment: Mapping[str, str], platform: str) -> str | None:
    """Guess where Inkscape keeps what is a person's own (from memory but for Linux).

    >>> usual_profile({"HOME": "/home/ines"}, "linux")
    '/home/ines/.config/inkscape'
    """
    if environment.get("INKSCAPE_PROFILE_DIR"):
        return environment["INKSCAPE_PROFILE_DIR"]
    home = environment.get("HOME")
    if platform == "win32":
        return os.path.join(environment["APPDATA"], "inkscape") if environment.get("APPDATA") else None
    if platform == "darwin":
        return f"{home}/Library/Application Support/org.inkscape.Inkscape/config/inkscape" if home else None
    config = environment.get("XDG_CONFIG_HOME") or (f"{home}/.config" if home else None)
    return f"{config}/inkscape" if config else None


def _asked(environment: Mapping[str, str], platform: str) -> str | None:
    """Run ``inkscape --user-data-directory``; None where it is not there or says nothing of use."""
    program = shutil.which("inkscape", path=environment.get("PATH", "")) or next(
        (path for path in _PROGRAMS.get(platform, ()) if os.path.isfile(path)), None
    )
    if program is None:
        return None
    try:
        done = subprocess.run(
            [program, "--user-data-directory"],
            env=dict(environment),
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=_PATIENCE,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired):
        return None
    said = [line.strip() for line in os.fsdecode(done.stdout).splitlines()]
    return next((line for line in reversed(said) if os.path.isabs(line)), None)
