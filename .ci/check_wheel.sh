#!/bin/bash
# The README's first command in a copy of the project, then the installed program from another folder: everything that
# it needs must have come along in the wheel.
set -euo pipefail
root=$(cd "$(dirname "$0")/.." && pwd)
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
mkdir "$place/project" "$place/elsewhere"
(cd "$root" && tar -cf - --exclude=./.git --exclude=./.venv --exclude=./demo-out --exclude='__pycache__' .) |
    tar -xf - -C "$place/project"
line=$(python3 "$root/.ci/readme_command.py" demo)
echo "+ $line"
(cd "$place/project" && bash -euo pipefail -c "$line")
mv "$place/project/.venv" "$place/installed"
rm -rf "$place/project" # what is installed must not lean on the sources
cd "$place/elsewhere"
svgfit=("$place/installed/bin/python" -I -m svgfit) # the scripts of a venv that was moved point to its old place
"${svgfit[@]}" --version
for name in cap-raise ease-spread edge-blend seam-check; do
    "${svgfit[@]}" operations | grep -q "^$name " || { echo "operation $name is not in the wheel"; exit 1; }
    "${svgfit[@]}" operations "$name" >/dev/null
done
if "${svgfit[@]}" plugins | grep -E "^(failed|off)"; then
    echo "a stock plug-in is not ok in the wheel"
    exit 1
fi
"${svgfit[@]}" demo out --quiet
for file in smock.svg smock-fitted.svg smock-fitted.json; do
    test -s "out/$file" || { echo "svgfit demo did not write $file"; exit 1; }
done
"${svgfit[@]}" inspect out/smock-sleeve-cut-line.svg >/dev/null
"${svgfit[@]}" completion bash >/dev/null
echo "wheel: installed, and complete from another folder"
