#!/bin/bash
# The documentation as a site, in a fresh environment, without a warning. With a folder named, the site stays there.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
root=$(dirname "$here")
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
site=${1:-$place/site}
python3 -m venv "$place/venv"
python3 - "$root/pyproject.toml" >"$place/needed.txt" <<'END'
import sys, tomllib
with open(sys.argv[1], "rb") as file:
    print(*tomllib.load(file)["project"]["optional-dependencies"]["docs"], sep="\n")
END
"$place/venv/bin/pip" install -q -r "$place/needed.txt"
export NO_MKDOCS_2_WARNING=true # a later version of the tool speaks of itself
"$place/venv/bin/mkdocs" build --strict --quiet --config-file "$root/mkdocs.yml" --site-dir "$site"
echo "the site has $(find "$site" -name '*.html' | wc -l) pages"
