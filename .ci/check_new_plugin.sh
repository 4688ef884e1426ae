#!/bin/bash
# What `svgfit new-plugin` makes is built and installed into a fresh environment beside svgfit's wheel, and its tests are
# run there, the project's sources out of reach.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
source "$here/common.sh"
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
copy_project "$place/project"
python3 -m venv "$place/env"
bin="$place/env/bin"
"$bin/pip" install -q "$place/project" 'pytest>=8'
rm -rf "$place/project"
mkdir "$place/elsewhere"
cd "$place/elsewhere"
unset PYTHONPATH
"$bin/svgfit" new-plugin hem-drop -o made
if "$bin/svgfit" new-plugin hem-drop -o made 2>/dev/null; then
    echo "new-plugin replaced its own files"
    exit 1
fi
cat >made/svgfit_hem_drop/other.py <<'END'
from svgfit.plugin import Operation, Outcome


def run(job):
    return Outcome(job.pieces, warnings=(f"{job.piece.title}: looked at",))


OPERATION = Operation("hem-look", "Looks at a sleeve.", (), run, kinds=("sleeve",))
END
sed -i 's/^from svgfit.plugin import (/from .other import OPERATION as OTHER\n&/; s/^    return \[$/&\n        OTHER,/' \
    made/svgfit_hem_drop/__init__.py
"$bin/pip" install -q ./made
mkdir tests
cp made/tests/*.py tests/
rm -rf made # what is installed is tested, not the folder
"$bin/python" -m pytest -q tests
grep -q '^ok .*operations hem-look, hem-drop .*package svgfit-hem-drop' <<<"$("$bin/svgfit" plugins)" || {
    echo "the plug-in is installed and svgfit does not have it"
    exit 1
}
"$bin/svgfit" demo out --quiet
"$bin/svgfit" adjust out/smock.svg --do "hem-drop amount='1 in'" -o out/longer.svg >/dev/null
grep -q 'data-svgfit-layer="adjusted"' out/longer.svg || { echo "the plug-in's operation does nothing"; exit 1; }
echo "new plug-in: built, installed, and its tests pass"
