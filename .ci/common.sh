# Sourced by the scripts beside it.

# copy_project FOLDER: the project as it stands, without what git, tests and tools leave in it.
copy_project() {
    local root
    root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
    mkdir -p "$1"
    tar -C "$root" -cf - --exclude=./.git --exclude=./.venv --exclude=./demo-out --exclude=./build --exclude=./dist \
        --exclude=./.hypothesis --exclude=./.coverage --exclude='__pycache__' --exclude='.*_cache' . | tar -C "$1" -xf -
}
