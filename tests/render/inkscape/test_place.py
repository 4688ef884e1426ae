"""Where a person's extensions lie: asked of Inkscape, else the usual place, else refused."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from svgfit.model.refusal import Refusal
from svgfit.render.inkscape.extension_folder import extensions_folder, usual_profile


def program(folder: Path, says: str) -> dict[str, str]:
    """Surroundings with an Inkscape of our own in them."""
    folder.mkdir()
    path = folder / "inkscape"
    path.write_text(f"#!/bin/sh\n{says}\n")
    path.chmod(0o755)
    return {"PATH": f"{folder}{os.pathsep}/bin", "HOME": str(folder.parent)}


@pytest.mark.skipif(os.name != "posix", reason="the program is a shell script")
def test_inkscape_itself_is_asked_even_where_it_grumbles_before(tmp_path):
    around = program(tmp_path / "bin", 'test "$1" = --user-data-directory && echo grumble && echo /home/ines/profile')
    assert extensions_folder(around, "linux") == "/home/ines/profile/extensions"


@pytest.mark.skipif(os.name != "posix", reason="the program is a shell script")
@pytest.mark.parametrize("says", ["exit 1", "echo nothing of use"])
def test_where_it_says_nothing_of_use_the_usual_place_counts(tmp_path, says):
    around = program(tmp_path / "bin", says)
    (tmp_path / ".config" / "inkscape").mkdir(parents=True)
    assert extensions_folder(around, "linux") == str(tmp_path / ".config" / "inkscape" / "extensions")


def test_without_inkscape_and_without_its_folder_it_is_refused_with_what_to_do(tmp_path):
    with pytest.raises(Refusal) as caught:
        extensions_folder({"PATH": str(tmp_path), "HOME": str(tmp_path)}, "linux")
    assert "--to FOLDER" in caught.value.line()
    assert "\n" not in caught.value.line()


def test_the_usual_places():
    """Linux as Inkscape 1.2.2 prints it; the others from memory."""
    assert usual_profile({"HOME": "/h", "XDG_CONFIG_HOME": "/c"}, "linux") == "/c/inkscape"
    assert usual_profile({"HOME": "/h"}, "darwin") == (
        "/h/Library/Application Support/org.inkscape.Inkscape/config/inkscape"
    )
    assert usual_profile({"APPDATA": "/roaming"}, "win32") == os.path.join("/roaming", "inkscape")
    assert usual_profile({"HOME": "/h", "INKSCAPE_PROFILE_DIR": "/p"}, "linux") == "/p"
    assert usual_profile({}, "linux") is None
