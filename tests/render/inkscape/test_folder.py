"""What is written, what is taken out, and what is never touched."""

from __future__ import annotations

import pytest

from svgfit.model.refusal import Refusal
from svgfit.render.inkscape.inx import MARK
from svgfit.render.inkscape.menu_files import remove_menu, write_menu

FILES = {"a.inx": f"<!-- {MARK} -->", "run.py": f"# {MARK}"}


def there(folder) -> dict[str, str]:
    return {path.name: path.read_text() for path in folder.iterdir()}


def test_written_twice_is_the_same_and_taken_out_leaves_nothing(tmp_path):
    assert write_menu(str(tmp_path), FILES) == write_menu(str(tmp_path), FILES)
    assert there(tmp_path / "svgfit") == FILES
    assert remove_menu(str(tmp_path)).removed == ("a.inx", "run.py")
    assert list(tmp_path.iterdir()) == []


def test_the_folder_of_extensions_is_made_where_it_is_missing(tmp_path):
    write_menu(str(tmp_path / "profile" / "extensions"), FILES)
    assert there(tmp_path / "profile" / "extensions" / "svgfit") == FILES


def test_others_files_stay_and_are_told(tmp_path):
    write_menu(str(tmp_path), FILES)
    (tmp_path / "svgfit" / "mine.inx").write_text("<mine/>")
    (tmp_path / "other.inx").write_text("<other/>")
    change = remove_menu(str(tmp_path))
    assert change.kept == ("mine.inx",)
    assert there(tmp_path / "svgfit") == {"mine.inx": "<mine/>"}
    assert (tmp_path / "other.inx").read_text() == "<other/>"


def test_a_file_of_another_maker_under_a_name_of_ours_is_refused_before_anything_is_written(tmp_path):
    (tmp_path / "svgfit").mkdir()
    (tmp_path / "svgfit" / "run.py").write_text("print('mine')")
    with pytest.raises(Refusal, match="was not written by svgfit"):
        write_menu(str(tmp_path), FILES)
    assert there(tmp_path / "svgfit") == {"run.py": "print('mine')"}


def test_a_link_is_not_ours_even_where_it_leads_to_a_file_of_ours(tmp_path):
    write_menu(str(tmp_path), FILES)
    (tmp_path / "svgfit" / "link.inx").symlink_to(tmp_path / "svgfit" / "a.inx")
    assert remove_menu(str(tmp_path)).kept == ("link.inx",)
    assert (tmp_path / "svgfit" / "link.inx").is_symlink()


def test_a_dialog_that_is_no_more_is_taken_out_when_the_menu_is_written_anew(tmp_path):
    write_menu(str(tmp_path), {**FILES, "old.inx": f"<!-- {MARK} -->"})
    assert write_menu(str(tmp_path), FILES).removed == ("old.inx",)
    assert there(tmp_path / "svgfit") == FILES


@pytest.mark.parametrize("act", [lambda to: write_menu(to, FILES, dry=True), lambda to: remove_menu(to, dry=True)])
def test_a_dry_run_changes_nothing(tmp_path, act):
    act(str(tmp_path))
    assert list(tmp_path.iterdir()) == []
    write_menu(str(tmp_path), {**FILES, "old.inx": f"<!-- {MARK} -->"})
    before = there(tmp_path / "svgfit")
    act(str(tmp_path))
    assert there(tmp_path / "svgfit") == before


def test_a_file_where_the_folder_should_be_is_refused(tmp_path):
    (tmp_path / "svgfit").write_text("")
    for act in (lambda: write_menu(str(tmp_path), FILES), lambda: remove_menu(str(tmp_path))):
        with pytest.raises(Refusal, match="is a file"):
            act()


def test_a_folder_that_can_not_be_made_is_refused(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(Refusal, match="can't be made"):
        write_menu(str(tmp_path / "file" / "extensions"), FILES)
