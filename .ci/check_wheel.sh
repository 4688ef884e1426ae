#!/bin/bash
# The README's first command in a copy of the project, then the installed program from another folder: everything that
# it needs must have come along in the wheel.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
source "$here/common.sh"
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
copy_project "$place/project"
line=$(python3 "$here/readme_command.py" demo)
echo "+ $line"
(cd "$place/project" && bash -euo pipefail -c "$line")
mv "$place/project/.venv" "$place/installed"
rm -rf "$place/project" # what is installed must not lean on the sources
mkdir "$place/elsewhere"
cd "$place/elsewhere"
# The scripts of a venv that was moved still point to its old place, so the module is run; -I: not from this folder.
svgfit() { "$place/installed/bin/python" -I -m svgfit "$@"; }
svgfit --version
"$place/installed/bin/python" -I - <<'END'
from importlib.metadata import distribution
wheel = distribution("svgfit")
names = {str(file) for file in wheel.files}
wanted = {"svgfit/py.typed", "svgfit/fonts/LICENSE-DejaVu.txt"}
wanted |= {f"svgfit-{wheel.version}.dist-info/licenses/{name}" for name in wheel.metadata.get_all("License-File")}
missing = sorted(wanted - names)
assert not missing, f"not in the wheel: {missing}"
assert "LICENSE" in wheel.metadata.get_all("License-File"), "the wheel names no licence"
words = wheel.metadata.get_payload()
assert "## Ten minutes" in words and "![" not in words and "](docs/" not in words, "its page leans on files beside it"
END
listed=$(svgfit operations)
for name in cap-raise ease-spread edge-blend seam-check; do
    grep -q "^$name " <<<"$listed" || { echo "operation $name is not in the wheel"; exit 1; }
    svgfit operations "$name" >/dev/null
done
plugins=$(svgfit plugins)
if grep -E '^(failed|off)' <<<"$plugins"; then
    echo "a stock plug-in is not ok in the wheel"
    exit 1
fi
svgfit demo out --quiet
for file in smock.svg smock-fitted.svg smock-fitted.json; do
    test -s "out/$file" || { echo "svgfit demo did not write $file"; exit 1; }
done
svgfit inspect out/smock-sleeve-cut-line.svg >/dev/null
svgfit check out/smock.svg >/dev/null
svgfit completion bash >/dev/null
svgfit handout out/smock-fitted.svg -o out/smock-fitted.pdf >/dev/null # needs the letters in the package
"$place/installed/bin/python" - <<'END' || { echo "the handout is not set in the letters of the package"; exit 1; }
import pikepdf
with pikepdf.open("out/smock-fitted.pdf") as pdf:
    fonts = {str(font.BaseFont) for font in pdf.pages[0].resources.Font.values()}
assert fonts and all("DejaVuSans" in font for font in fonts), fonts
END
svgfit picture out/smock-fitted.svg -o out/smock-fitted.png >/dev/null
svgfit picture out/smock-fitted.svg -o out/smock-fitted.html >/dev/null # needs the page's style and script
grep -q "<script>[^<]" out/smock-fitted.html || { echo "the picture's page has no script"; exit 1; }
mkdir extensions
svgfit editor-menu --to extensions >/dev/null # a dialog starts the installed svgfit, whatever Python calls the launcher
python3 extensions/svgfit/svgfit_launcher.py --svgfit-ask=do-cap-raise "--step-amount=1/4 in" out/smock.svg >raised.svg
grep -q 'data-svgfit-layer="adjusted"' raised.svg || { echo "a dialog of the menu does nothing"; exit 1; }
echo "wheel: installed, and complete from another folder"
